import { signalRecord } from '../measure/analysis/signal-record.ts';
import type { CaptureId, Commanded, Observation, Window } from '../measure/observation.ts';
import type { Contribution, Measured, NotMeasurable, Outcome } from '../measure/outcome.ts';
import { notMeasurable } from '../measure/outcome.ts';
import { bothWays } from './realisations.ts';
import type { InputCalibration } from './uncertainty.ts';
import { verdictOfUnmeasurable } from './unmeasurable.ts';

/** What metrics call the error that they state themselves. */
const instantName = 'instant of the command';

type Compute = (observation: Observation) => Outcome;

/** A change is away from the edges of a window where it is so many standard uncertainties from them. */
const clear = 4;

/**
 * What it contributes that nobody knows the instants of commands, and of the records, any better: the metric is computed again
 * with all records earlier and later against the time line of the commands, with the reference window earlier and later alone,
 * and with the records of one start apart from those of another. Nothing where no commanded change is near.
 * Input: an observation whose `commanded.standardInstant` (s, k = 1) holds commands and records, and whose supply changes say from
 * when to when they may have taken effect; starts by record. Output: in
 * the metric's unit, or why an error of one standard uncertainty either way leaves nothing to measure.
 */
export function instantErrors(
  outcome: Measured,
  observation: Observation,
  inputs: readonly InputCalibration[],
  compute: Compute,
): readonly Contribution[] | NotMeasurable {
  const standard = standardOf(observation);
  const { window, reference } = observation;
  const margin = clear * standard;
  const found: Contribution[] = [];
  const add = (name: string, move: (sign: 1 | -1) => Observation): NotMeasurable | null => {
    const moved = bothWays(outcome, (sign) => compute(move(sign)));
    if (typeof moved !== 'number') return moved;
    if (moved > 0) found.push({ name, standard: moved });
    return null;
  };
  const near = changesNear(observation, [window, reference], margin);
  if (standard === 0 || !(near || standard > (observation.commanded.standardInstant ?? 0)))
    return found;
  const lost =
    add(instantName, (sign) => shifted(observation, sign * standard)) ??
    (reference && changesNear(observation, [reference], margin)
      ? add('instant of the reference', (sign) => ({
          ...observation,
          reference: { from: reference.from - sign * standard, to: reference.to - sign * standard },
        }))
      : null) ??
    firstLost(starts(inputs), ([name, start]) =>
      add(`start of ${name}`, (sign) =>
        shifted(observation, sign * start.standard, (capture) => start.captures.has(capture)),
      ),
    );
  return lost ?? found;
}

/**
 * Of the instants that matter to the windows, s (k = 1): of the commands, or of a change of the supply near a window. That one is
 * anywhere between its order and its confirmation, while a window that opens with it opens with the order: by so much the
 * light of a window may be late, equally likely, and its root mean square is the part of √3.
 */
function standardOf(observation: Observation): number {
  const { commanded, window, reference } = observation;
  const { standardInstant = 0, supplyChanges = [] } = commanded;
  const windows = reference ? [window, reference] : [window];
  const reaching = supplyChanges
    .map((change) => ({ ...change, own: (change.to - change.from) / Math.sqrt(3) }))
    .filter((change) => windows.some((one) => reaches(change, one, commanded)));
  return Math.max(standardInstant, ...reaching.map(({ own }) => own));
}

/** A lamp may still be starting, s after its power came or changed (common practice, no source). */
const starting = 2;

/**
 * The change is in the window or ended just before it, or the lamp may not have got over it and nothing else was commanded since.
 * What is ordered when a window has ended cannot have come earlier than its order.
 */
function reaches(
  { from, to, own }: Window & { readonly own: number },
  window: Window,
  commanded: Commanded,
): boolean {
  if (from >= window.to) return false;
  if (to > window.from - clear * own) return true;
  if (window.from < to || window.from > to + starting) return false;
  return !turns(commanded).some((at) => at > to && at < window.to + clear * own);
}

/** What a metric states of the instant itself holds where it is more. */
export function withInstant(
  stated: readonly Contribution[],
  found: readonly Contribution[],
): Contribution[] {
  const own = stated.find(({ name }) => name === instantName)?.standard ?? 0;
  const [whole] = found.filter(({ name }) => name === instantName);
  const rest = found.filter((one) => one !== whole);
  if (!whole || whole.standard <= own) return [...stated, ...rest];
  return [...stated.filter(({ name }) => name !== instantName), whole, ...rest];
}

/** How far a refusal is tried, in standard uncertainties of the instants. */
const tried = [-2, -1, 1, 2];

/**
 * A refusal that falls on the lamp stands only where the bench's timing cannot be to blame: with the records earlier or later by
 * what their start and the commands' instants are known to, the lamp is still at fault, and the records hold the windows.
 */
export function borneOut(
  refusal: NotMeasurable,
  observation: Observation,
  read: readonly InputCalibration[],
  compute: Compute,
): NotMeasurable {
  if (verdictOfUnmeasurable(refusal.reason) !== 'fail') return refusal;
  const gap = uncovered(observation, read, true);
  if (gap) return gap;
  const standard = standardOf(observation);
  if (standard === 0) return refusal;
  const other = tried
    .map((times) => compute(shifted(observation, times * standard)))
    .find((outcome) => outcome.measured || verdictOfUnmeasurable(outcome.reason) !== 'fail');
  if (!other) return refusal;
  return notMeasurable('untimed', {
    found: standard,
    unit: 's',
    note: `it may be the bench's lateness: within it ${other.measured ? 'there is a value' : `the reason is ${other.reason}`}, else ${refusal.reason}`,
  });
}

/** Shorter than this, missing of a window, hides nothing: s, and samples. */
const negligible = 2e-3;
const negligibleSamples = 1.5;
/** On a bench the next window waits until the record is handed over, and nothing is commanded meanwhile: a part of the window. */
const handOver = 0.15;

/** A window that a record of a real bench may have begun too late for; null where what was read holds the windows' beginnings. */
export function mayHaveBegunLate(
  observation: Observation,
  read: readonly InputCalibration[],
): NotMeasurable | null {
  const real = read.filter(({ standardStart }) => standardStart !== undefined);
  return real.length > 0 ? uncovered(observation, real, false) : null;
}

/** A window that a record begins too late for, or ends too early, or may do; null where what was read holds both windows. */
function uncovered(
  observation: Observation,
  read: readonly InputCalibration[],
  wholly: boolean,
): NotMeasurable | null {
  const { window, reference, records } = observation;
  const spans = records.flatMap(({ capture, sampling: { start, rate, length } }) => {
    const own = read.find((one) => one.capture === capture);
    if (!own) return [];
    const begun = start + Math.sqrt(3) * (own.standardStart ?? 0);
    const slack = negligible + negligibleSamples / rate;
    return [{ start, begun, end: start + length / rate, slack, real: !!own.standardStart }];
  });
  for (const { from, to } of reference ? [window, reference] : [window]) {
    const [best] = spans.sort((a, b) => sharedBy(b, from, to) - sharedBy(a, from, to));
    if (!best || sharedBy(best, from, to) <= 0) continue;
    const { begun, end, slack, real } = best;
    // Before anything is commanded there is nothing to miss.
    const first = from > 0 ? from : Math.min(to, ...changesOf(observation).filter((at) => at > 0));
    const spare = real ? Math.max(slack, handOver * (to - from)) : slack;
    if (begun <= first + slack && (!wholly || end >= to - spare)) continue;
    const note = 'the record may not hold all of the window';
    return notMeasurable('too-short', {
      ...{ found: Math.min(end, to) - Math.max(begun, from), needed: to - from, unit: 's', note },
    });
  }
  return null;
}

function sharedBy(
  { start, end }: { readonly start: number; readonly end: number },
  from: number,
  to: number,
): number {
  return Math.min(end, to) - Math.max(start, from);
}

/** All records, or the chosen ones, as they would be had they begun so much later, s. */
function shifted(
  observation: Observation,
  by: number,
  chosen: (capture: CaptureId) => boolean = () => true,
): Observation {
  const records = observation.records.map((record) => {
    if (!chosen(record.capture)) return record;
    const { waveform } = record;
    return signalRecord(record, { ...waveform, start: waveform.start + by });
  });
  return { ...observation, records };
}

/** Instants at which the commanded light of any channel changes its course, or its supply does. */
function changesOf({ commanded }: Observation): readonly number[] {
  const { supplyChanges = [] } = commanded;
  return [...turns(commanded), ...supplyChanges.map(({ from }) => from)];
}

/** Of the commanded light alone. */
function turns({ channels }: Commanded): readonly number[] {
  return channels.flatMap(({ segments }) => segments.slice(1).map(({ from }) => from));
}

function changesNear(
  observation: Observation,
  windows: readonly (Window | undefined)[],
  margin: number,
): boolean {
  return changesOf(observation).some((at) =>
    windows.some((window) => window && at > window.from - margin && at < window.to + margin),
  );
}

interface Start {
  readonly standard: number;
  readonly captures: Set<CaptureId>;
}

/** Records of one start each, where they began apart: what all of them share is in the shift of all. */
function starts(inputs: readonly InputCalibration[]): readonly (readonly [string, Start])[] {
  const found = new Map<string, Start>();
  for (const { capture, sharedStart, standardStart = 0 } of inputs) {
    if (sharedStart === undefined || standardStart === 0) continue;
    const start = found.get(sharedStart) ?? { standard: standardStart, captures: new Set() };
    start.captures.add(capture);
    found.set(sharedStart, start);
  }
  return found.size > 1 ? [...found] : [];
}

function firstLost<T>(
  all: readonly T[],
  lost: (one: T) => NotMeasurable | null,
): NotMeasurable | null {
  for (const one of all) {
    const found = lost(one);
    if (found) return found;
  }
  return null;
}
