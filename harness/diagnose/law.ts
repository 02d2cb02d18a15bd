import { deviation, mean } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { type SteadyLevel, type Transfer, transferOf } from './transfer.ts';

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
      /** In which it was found: figures of one record agree by themselves. */
      readonly conditions: number;
    }
  /** No line of that form: the light does not go where the curve goes. `instead` says where it goes, if all findings agree. */
  | { readonly kind: 'curve'; readonly instead: string | null }
  /** Steady levels follow the dimming curve no more, but another form. */
  | { readonly kind: 'transfer'; readonly transfer: Transfer; readonly count: number };

/** Fewer are two points, through which every law passes. */
const fewest = 3;
/** Findings of a law that have a figure. */
const mostPart = 0.5;
/** Commanded values have to differ by this before a factor can be told from an offset. */
const reach = 1.5;
/** Figures that agree better than this have one cause. */
const agreement = 0.02;

const curveMetrics = new Set(['curve-deviation', 'sweep-deviation', 'sweep-deviation-lightness']);

/** The law that all of these findings follow, failing and passing ones; null where there is none. */
export function commonLaw(findings: readonly Diagnosed[]): Law | null {
  return (
    commonTransfer(findings) ??
    againstCommand(findings) ??
    commonFrequency(findings) ??
    curve(findings)
  );
}

function curve(findings: readonly Diagnosed[]): Law | null {
  const failing = findings.filter(({ failed }) => failed);
  const isOff = (one: Diagnosed) => curveMetrics.has(one.finding.metric) || isNotStraight(one);
  if (failing.length === 0 || !failing.every(isOff)) return null;
  const told = failing.filter(isNotStraight).map(insteadOf);
  const [instead = null] = told;
  return { kind: 'curve', instead: told.every((one) => one === instead) ? instead : null };
}

/** A fade that no line on the dimming curve describes. */
export function isNotStraight({ finding: { outcome } }: Diagnosed): boolean {
  return !outcome.measured && outcome.reason === 'not-a-straight-fade';
}

/** What its note says behind the figures of where it goes, if it says more. */
function insteadOf({ finding: { outcome } }: Diagnosed): string | null {
  return outcome.measured ? null : (outcome.note?.split('; ')[1] ?? null);
}

interface Pair {
  readonly commanded: number;
  readonly value: number;
}

function againstCommand(findings: readonly Diagnosed[]): Law | null {
  const pairs = findings.flatMap(pairOf);
  const [one] = findings;
  // What takes so long that its end is not seen cannot be measured.
  if (!one || pairs.length < fewest || pairs.length < mostPart * findings.length) return null;
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

function commonTransfer(findings: readonly Diagnosed[]): Law | null {
  const levels = findings.flatMap(steadyLevelOf);
  const transfer = transferOf(levels);
  return transfer ? { kind: 'transfer', transfer, count: levels.length } : null;
}

function steadyLevelOf({ finding: { evidence }, failed }: Diagnosed): SteadyLevel[] {
  const { 'level-ratio': measured, 'commanded-ratio': commanded } = evidence.notes;
  return typeof measured === 'number' && typeof commanded === 'number' && commanded > 0
    ? [{ commanded, measured, failed }]
    : [];
}

/** What was measured and what was asked for; levels are compared by their ratios. */
function pairOf(one: Diagnosed): Pair[] {
  const { outcome, limits } = one.finding;
  if (steadyLevelOf(one).length > 0) return [];
  if (!outcome.measured || limits.target === null || !(limits.target > 0)) return [];
  // Two limits about a target hold a quantity; one alone, or none, counts answers.
  return limits.lower !== null && limits.upper !== null && limits.lower < limits.upper
    ? [{ value: outcome.value, commanded: limits.target }]
    : [];
}

const frequencyNotes = ['worst-frequency', 'dominant-frequency', 'frequency'];

function commonFrequency(findings: readonly Diagnosed[]): Law | null {
  const failing = findings.filter(({ failed }) => failed);
  const found = failing.flatMap((one) => {
    const { notes } = one.finding.evidence;
    const figure = frequencyNotes.map((name) => notes[name]).find(isFrequency);
    return figure === undefined ? [] : [{ figure, condition: one.condition }];
  });
  const conditions = new Set(found.map(({ condition }) => condition)).size;
  if (conditions < 2 || found.length < 0.5 * failing.length) return null;
  const { mean: frequency, spread } = spreadOf(found.map(({ figure }) => figure));
  return spread <= agreement * frequency
    ? { kind: 'frequency', frequency, spread: spread / frequency, count: found.length, conditions }
    : null;
}

function isFrequency(note: number | string | undefined): note is number {
  return typeof note === 'number' && note > 0;
}

function spreadOf(figures: readonly number[]): { readonly mean: number; readonly spread: number } {
  return { mean: mean(figures) ?? Number.NaN, spread: deviation(figures) ?? 0 };
}
