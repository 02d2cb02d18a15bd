import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { type Edge, edges } from '../../signal/edges.ts';
import { neighbours } from '../../signal/pairs.ts';
import { quietStretchNoise } from '../../signal/quiet-noise.ts';
import { type Samples, sampleAt, type Timed } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';
import type { Waveform } from '../../waveform.ts';

/** The switching of the output stage, as means over the cycles seen. */
export interface SwitchingCycles {
  readonly cycles: number;
  /** Peak to peak, A. */
  readonly ripple: number;
  readonly peak: number;
  readonly valley: number;
  /** s; the current falls during the off-time and rises during the on-time. */
  readonly offTime: number;
  readonly onTime: number;
  readonly frequency: number;
  /** Standard uncertainties of the means from the scatter over the cycles. */
  readonly standardRipple: number;
  readonly standardOffTime: number;
  readonly standardFrequency: number;
  /** Instants of the first cycles' peaks, s. */
  readonly peaksAt: readonly number[];
}

/** Samples wholly on each flank, for a line. */
const flankSamples = 2;
/** Cycles that a mean needs. */
const fewestCycles = 3;
/** Crossings that give no corner of their own: one for the turns between them, and two for the outer flanks of each fit. */
const lostCrossings = 5;
/** Cycles that are looked at; more do not make the mean better than the calibration. */
const mostCycles = 20_000;

/**
 * Cycles of a current that rises and falls in straight lines while the modulator is on. Each flank gets a
 * least-squares line through the samples that lie wholly on it; neighbouring lines are brought to intersection, which
 * finds peaks, valleys and times much finer than the samples lie, and takes out what averaging over a sample cuts off
 * the tips. The flank of the record's first crossing and that of its last do not count.
 * Source: design equations of the fixed off-time stage (see fixed-off-time.ts) for the straight flanks; the method
 * is our own.
 */
export function switchingCycles(waveform: Waveform): SwitchingCycles | NotMeasurable {
  const { samples, rate } = waveform;
  const on = longestOn(samples);
  if (on === null) return notMeasurable('dark', { note: 'no current in the window' });
  const part: Timed = {
    samples: samples.subarray(on.first, on.last),
    rate,
    start: waveform.start + on.first / rate,
  };
  const noise = quietStretchNoise(part.samples, waveform.step ?? 0);
  const { low, high, middle } = spread(part.samples);
  const swing = high - low;
  if (!(swing > 8 * noise) || swing < 1e-4 * Math.abs(middle)) {
    return notMeasurable('no-periodicity', {
      note: 'no ripple above the noise while the current is on',
    });
  }
  const crossings = edges(part, middle, Math.max(0.15 * swing, 3 * noise)).slice(
    0,
    2 * mostCycles + 2,
  );
  const whole = Math.max(0, Math.floor((crossings.length - lostCrossings) / 2) - 1);
  if (whole < fewestCycles) {
    return notMeasurable('too-short', {
      found: whole,
      needed: fewestCycles,
      unit: '1',
      note: 'switching cycles within one on-time',
    });
  }
  const rough = turningSamples(part, crossings);
  const lines = flanks(part, rough);
  const thin = lines.find((line) => line.count < flankSamples);
  if (thin) return tooSlow(part, thin.count);
  // Once more between the corners now known: all samples wholly on a flank count, chosen by time and not by value.
  const better = flanks(
    part,
    cornersOf(lines).map(({ at }) => (at - part.start) * rate - 0.5),
  );
  const lost = better.find(({ count }) => count < flankSamples);
  return lost ? tooSlow(part, lost.count) : summarise(better);
}

/** A ripple takes no more than this part of the current away (coils are chosen for a third; common practice, no source). */
const deepest = 0.4;

/** The ripple is too fast for the samples; or the modulator interrupts the current, which is no matter of the rate. */
function tooSlow({ samples, rate }: Timed, count: number): NotMeasurable {
  const { lowest, highest } = statistics(samples);
  if (lowest < (1 - deepest) * highest)
    return notMeasurable('unresolved', {
      note: 'the current is interrupted within a few samples: it is not on all the time',
    });
  const needed = (rate * (flankSamples + 3)) / (count + 2);
  return notMeasurable('too-slow', {
    found: rate,
    needed,
    unit: 'Hz',
    note: 'flanks of the ripple',
  });
}

/** Extreme samples between neighbouring crossings, as places on the scale of sample indices. */
function turningSamples({ samples }: Timed, crossings: readonly Edge[]): readonly number[] {
  return neighbours(crossings).map(([previous, edge]) => {
    let best = previous.index;
    for (let at = previous.index; at < edge.index; at++) {
      const higher = sampleAt(samples, at) > sampleAt(samples, best);
      if (previous.rising ? higher : sampleAt(samples, at) < sampleAt(samples, best)) best = at;
    }
    return best;
  });
}

/** The longest stretch in which the current does not go down to nothing. */
function longestOn(samples: Samples): { readonly first: number; readonly last: number } | null {
  let highest = 0;
  for (const value of samples) highest = Math.max(highest, value);
  if (highest <= 0) return null;
  const threshold = 0.15 * highest;
  let best = { first: 0, last: 0 };
  let first = 0;
  for (let index = 0; index <= samples.length; index++) {
    if (index < samples.length && sampleAt(samples, index) > threshold) continue;
    if (index - first > best.last - best.first) best = { first, last: index };
    first = index + 1;
  }
  // The rise and the fall of the on-time itself are no ripple.
  const cut = Math.floor(0.1 * (best.last - best.first));
  const whole = best.first === 0 && best.last === samples.length;
  return whole ? best : { first: best.first + cut, last: best.last - Math.floor(cut / 2) };
}

/** Level below and above which a twentieth of the samples lies, stretched to the ends of a triangle. */
function spread(samples: Samples) {
  const stride = Math.max(1, Math.floor(samples.length / 100_000));
  const some = Float64Array.from({ length: Math.ceil(samples.length / stride) }, (_, index) =>
    sampleAt(samples, index * stride),
  ).sort();
  const at = (part: number) => some[Math.min(some.length - 1, Math.floor(part * some.length))] ?? 0;
  const [five, most] = [at(0.05), at(0.95)];
  const margin = (most - five) / 18;
  return { low: five - margin, high: most + margin, middle: (five + most) / 2 };
}

interface Flank {
  readonly count: number;
  /** Current = level + slope * (t - at). */
  readonly at: number;
  readonly level: number;
  readonly slope: number;
}

/** Part of a flank at either end that may belong to the corner. */
const cornerPart = 0.1;

/** Lines through the samples between neighbouring turning points (sample indices, with fractions). */
function flanks(part: Timed, turns: readonly number[]): readonly Flank[] {
  return neighbours(turns).map(([from, to]) => {
    const margin = Math.max(1, cornerPart * (to - from));
    return line(part, Math.ceil(from + margin - 1e-9), Math.floor(to - margin + 1e-9));
  });
}

/** Least-squares line through the samples first..last. */
function line({ samples, rate, start }: Timed, first: number, last: number): Flank {
  const count = Math.max(0, last - first + 1);
  let [sumT, sumY, sumTT, sumTY] = [0, 0, 0, 0];
  for (let index = first; index <= last; index++) {
    const t = index - first;
    sumT += t;
    sumY += sampleAt(samples, index);
    sumTT += t * t;
    sumTY += t * sampleAt(samples, index);
  }
  const slope = (count * sumTY - sumT * sumY) / (count * sumTT - sumT * sumT);
  return {
    count,
    at: start + (first + sumT / count + 0.5) / rate,
    level: sumY / count,
    slope: slope * rate,
  };
}

interface Corner {
  readonly at: number;
  readonly level: number;
  readonly peak: boolean;
}

/** Where neighbouring flanks meet. */
function cornersOf(lines: readonly Flank[]): readonly Corner[] {
  return neighbours(lines).map(([one, two]) => {
    const at =
      one.at + (two.level - one.level - two.slope * (two.at - one.at)) / (one.slope - two.slope);
    return { at, level: one.level + one.slope * (at - one.at), peak: one.slope > two.slope };
  });
}

function summarise(lines: readonly Flank[]): SwitchingCycles | NotMeasurable {
  const corners = cornersOf(lines);
  const down: number[] = [];
  const off: number[] = [];
  const onTimes: number[] = [];
  for (const [one, two] of neighbours(corners)) {
    down.push(Math.abs(one.level - two.level));
    (one.peak ? off : onTimes).push(two.at - one.at);
  }
  const peaks = corners.filter(({ peak }) => peak);
  const valleys = corners.filter(({ peak }) => !peak);
  const periods = neighbours(peaks).map(([one, two]) => two.at - one.at);
  if (![...down, ...periods].every((value) => Number.isFinite(value) && value > 0)) {
    return notMeasurable('unresolved', { note: 'flanks of the ripple cannot be told apart' });
  }
  const period = meanOf(periods);
  return {
    cycles: periods.length,
    ripple: meanOf(down),
    peak: meanOf(peaks.map(({ level }) => level)),
    valley: meanOf(valleys.map(({ level }) => level)),
    offTime: meanOf(off),
    onTime: meanOf(onTimes),
    frequency: 1 / period,
    standardRipple: standardOf(down),
    standardOffTime: standardOf(off),
    standardFrequency: standardOf(periods) / period ** 2,
    peaksAt: peaks.slice(0, 20).map(({ at }) => at),
  };
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Standard deviation of the mean. */
function standardOf(values: readonly number[]): number {
  const mean = meanOf(values);
  const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return Math.sqrt(square / Math.max(1, values.length - 1) / values.length);
}
