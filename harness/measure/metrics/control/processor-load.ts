import type { Metric, Need } from '../../metric.ts';
import { oneSided } from '../../one-sided.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { type Samples, sampleAt } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';
import { pinPart, pinThreshold } from '../../subject/pin-part.ts';

const needs: Need = { signals: ['busy'], scope: 'one' };

/** Stretches whose load is told apart, s. */
const stretch = 0.01;

/**
 * Load of the lamp's processor: part of the time in which its busy pin is high.
 * Inputs: busy pin (V), several samples in each busy stretch. Output: ratio, 1 for nothing left.
 * Not measurable: pin not recorded, empty window, samples that are not finite, stretches of a single sample, a pin
 * that never rises.
 * Fooled by: busy stretches shorter than a sample; a pin that is not high in interrupts; a window that leaves out the
 * busy moment.
 * Source: common practice, no source.
 */
export const processorLoad: Metric = {
  id: 'processor-load',
  title: 'Processor load',
  family: 'control',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [pinThreshold],
  source: 'common-practice',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const part = pinPart(observation, 'busy', needs);
    if (!isMeasurable(part)) return part;
    const {
      threshold,
      waveform: { samples, rate },
    } = part;
    const busy = new Uint8Array(samples.length);
    for (let k = 0; k < busy.length; k++) busy[k] = sampleAt(samples, k) > threshold ? 1 : 0;
    const runs = pinRuns(busy);
    const load = meanOf(busy, 0, busy.length);
    const unseen = whyUnresolved(runs, longestRise(busy), rate);
    if (unseen) return unseen;
    const most = highestWithin(busy, Math.max(1, Math.round(stretch * rate)));
    const averaged = askew(samples, threshold);
    const notes = {
      'changes-of-the-pin': runs.changes,
      'highest-within-10-ms': Math.max(most, load),
    };
    return measured(load, evidence ? { charts: [], notes } : noEvidence, [
      { name: 'sample interval', standard: edgeError(runs) / busy.length },
      { name: 'averaging over a sample', standard: (oneSided * averaged) / busy.length },
    ]);
  },
};

/**
 * Busy samples too many, or too few, where a sample is the mean over its interval: it counts as busy from that part of it on which
 * the threshold is of the pin's swing. Samples between the two levels tell of it, one for each end of a stretch.
 */
function askew(samples: Samples, threshold: number): number {
  const { lowest, highest } = statistics(samples);
  const swing = highest - lowest;
  if (!(swing > 0)) return 0;
  let between = 0;
  for (let k = 0; k < samples.length; k++) {
    const part = (sampleAt(samples, k) - lowest) / swing;
    if (part > levelPart && part < 1 - levelPart) between++;
  }
  return (between / 2) * Math.abs(1 - (2 * (threshold - lowest)) / swing);
}

/** Within this part of the swing a sample is one of the two levels, with its noise. */
const levelPart = 0.05;

/** More single samples among the stretches than this: there are others that no sample met. */
const fewSingles = 0.05;

function whyUnresolved(
  { singles, changes, shortest }: PinRuns,
  longest: number,
  rate: number,
): NotMeasurable | null {
  if (longest < 2)
    return notMeasurable('unresolved', {
      note: 'the pin never rises for two samples: it is not wired, or busy for less than a sample',
    });
  if (singles <= fewSingles * (changes + 1)) return null;
  const facts = { found: shortest / rate, needed: 2 / rate, unit: 's' } as const;
  return notMeasurable('unresolved', { ...facts, note: 'busy or idle stretches of one sample' });
}

/**
 * Standard uncertainty of the busy samples. The ends of a stretch lie anywhere within a sample: two even distributions, 1/√6 of
 * one for each stretch. Stretches that come at random err independently; ones that keep step with the samples all err alike, or
 * in as many ways as there are stretches before the two meet again. A stretch of one sample may stand for one more unseen.
 */
function edgeError({ rises, changes, singles }: PinRuns): number {
  const alone = Math.sqrt(Math.max(1, changes) / 12);
  const inStep = rises.length / waysToLie(rises) / Math.sqrt(6);
  return Math.hypot(alone, inStep, singles);
}

/** After how many stretches they lie to the samples as before; as many as there are where they never do. */
function waysToLie(rises: readonly number[]): number {
  const count = rises.length;
  const [first = 0] = rises;
  const interval = ((rises.at(-1) ?? first) - first) / Math.max(1, count - 1);
  if (count < 3) return Math.max(1, count);
  for (let ways = 1; ways < count; ways++) {
    const off = Math.abs(ways * interval - Math.round(ways * interval));
    if (off * (count / ways) < 1) return ways;
  }
  return count;
}

/** The longest that the pin is high, in samples. */
function longestRise(busy: Uint8Array): number {
  let [longest, own] = [0, 0];
  for (let k = 0; k < busy.length; k++) {
    own = busy[k] === 1 ? own + 1 : 0;
    if (own > longest) longest = own;
  }
  return longest;
}

function highestWithin(busy: Uint8Array, group: number): number {
  let most = 0;
  for (let from = 0; from + group <= busy.length; from += group)
    most = Math.max(most, meanOf(busy, from, from + group));
  return most;
}

function meanOf(busy: Uint8Array, from: number, to: number): number {
  let sum = 0;
  for (let k = from; k < to; k++) sum += busy[k] ?? 0;
  return sum / (to - from);
}

/** The stretches of a pin between its changes, in samples. */
interface PinRuns {
  readonly changes: number;
  /** First samples of the busy stretches. */
  readonly rises: readonly number[];
  /** Whole stretches of one sample, busy or idle. */
  readonly singles: number;
  readonly shortest: number;
}

function pinRuns(busy: Uint8Array): PinRuns {
  const rises: number[] = [];
  let [changes, singles, shortest, last] = [0, 0, busy.length, -1];
  for (let k = 1; k < busy.length; k++) {
    if (busy[k] === busy[k - 1]) continue;
    changes++;
    if (busy[k] === 1) rises.push(k);
    // What the window cuts off is no whole stretch.
    if (last >= 0) shortest = Math.min(shortest, k - last);
    if (last >= 0 && k - last === 1) singles++;
    last = k;
  }
  return { changes, rises, singles, shortest };
}
