import type { Diagnosed } from './diagnosed-finding.ts';

/** What the figures of findings have in common. */
export type Law =
  /** Value = factor × what was commanded; `spread` is the relative standard deviation about it. */
  | {
      readonly kind: 'factor';
      readonly factor: number;
      readonly spread: number;
      readonly count: number;
    }
  /** Value = what was commanded + offset, both in the SI unit; `spread` likewise absolute. */
  | {
      readonly kind: 'offset';
      readonly offset: number;
      readonly spread: number;
      readonly count: number;
      readonly unit: string;
      readonly shown: string;
    }
  /** The light changes at one frequency, Hz, wherever it was looked at. */
  | {
      readonly kind: 'frequency';
      readonly frequency: number;
      readonly spread: number;
      readonly count: number;
    }
  /** No line of that form: the light does not go where the curve goes. `instead` says where it goes, if all findings agree. */
  | { readonly kind: 'curve'; readonly instead: string | null };

/** Fewer are two points, through which every law passes. */
const fewest = 3;
/** Commanded values have to differ by this before a factor can be told from an offset. */
const reach = 1.5;
/** Figures that agree better than this have one cause. */
const agreement = 0.02;

const curveMetrics = new Set(['curve-deviation', 'sweep-deviation', 'sweep-deviation-lightness']);

/** The law that all of these findings follow, failing and passing ones; null where there is none. */
export function commonLaw(findings: readonly Diagnosed[]): Law | null {
  return againstCommand(findings) ?? commonFrequency(findings) ?? curve(findings);
}

function curve(findings: readonly Diagnosed[]): Law | null {
  const failing = findings.filter(({ failed }) => failed);
  if (failing.length === 0 || !failing.every(isOffCurve)) return null;
  const told = failing.flatMap(({ finding: { outcome } }) =>
    outcome.measured ? [] : [outcome.note?.split('; ')[1] ?? null],
  );
  const [instead = null] = told;
  return { kind: 'curve', instead: told.every((one) => one === instead) ? instead : null };
}

function isOffCurve({ finding: { metric, outcome } }: Diagnosed): boolean {
  return (
    curveMetrics.has(metric) || (!outcome.measured && outcome.reason === 'not-a-straight-fade')
  );
}

interface Pair {
  readonly commanded: number;
  readonly value: number;
}

function againstCommand(findings: readonly Diagnosed[]): Law | null {
  const pairs = findings.flatMap(pairOf);
  const [one] = findings;
  if (!one || pairs.length < fewest || pairs.length < findings.length) return null;
  const sizes = pairs.map(({ commanded }) => Math.abs(commanded));
  if (!(Math.max(...sizes) > reach * Math.min(...sizes))) return null;
  const ratios = spreadOf(pairs.map(({ value, commanded }) => value / commanded));
  const relative = ratios.spread / Math.abs(ratios.mean);
  const offsets = spreadOf(pairs.map(({ value, commanded }) => value - commanded));
  const absolute = offsets.spread / Math.abs(offsets.mean);
  const count = pairs.length;
  // A factor that is 1, or an offset that is nothing beside its spread, explains nothing.
  if (relative <= agreement && Math.abs(ratios.mean - 1) > 3 * ratios.spread)
    return { kind: 'factor', factor: ratios.mean, spread: relative, count };
  if (absolute > 0.1 || Math.abs(offsets.mean) < 3 * offsets.spread) return null;
  const { unit, shown } = one.finding;
  return { kind: 'offset', offset: offsets.mean, spread: offsets.spread, count, unit, shown };
}

/** What was measured and what was asked for; a level by the ratios that its metric notes. */
function pairOf({ finding }: Diagnosed): Pair[] {
  const { outcome, limits, evidence } = finding;
  const { 'level-ratio': value, 'commanded-ratio': commanded } = evidence.notes;
  if (typeof value === 'number' && typeof commanded === 'number')
    return commanded > 0 && value > 0 ? [{ value, commanded }] : [];
  if (!outcome.measured || limits.target === null || !(limits.target > 0)) return [];
  // Two limits about a target hold a quantity; one alone, or none, counts answers.
  return limits.lower !== null && limits.upper !== null && limits.lower < limits.upper
    ? [{ value: outcome.value, commanded: limits.target }]
    : [];
}

const frequencyNotes = ['worst-frequency', 'dominant-frequency', 'frequency'];

function commonFrequency(findings: readonly Diagnosed[]): Law | null {
  const failing = findings.filter(({ failed }) => failed);
  const found = failing.flatMap(({ finding: { evidence } }) => {
    const figure = frequencyNotes.map((name) => evidence.notes[name]).find(isFrequency);
    return figure === undefined ? [] : [figure];
  });
  if (found.length < 2 || found.length < 0.5 * failing.length) return null;
  const { mean, spread } = spreadOf(found);
  return spread <= agreement * mean
    ? { kind: 'frequency', frequency: mean, spread: spread / mean, count: found.length }
    : null;
}

function isFrequency(note: number | string | undefined): note is number {
  return typeof note === 'number' && note > 0;
}

function spreadOf(figures: readonly number[]): { readonly mean: number; readonly spread: number } {
  const mean = figures.reduce((sum, figure) => sum + figure, 0) / figures.length;
  const squares = figures.reduce((sum, figure) => sum + (figure - mean) ** 2, 0);
  return { mean, spread: Math.sqrt(squares / Math.max(1, figures.length - 1)) };
}
