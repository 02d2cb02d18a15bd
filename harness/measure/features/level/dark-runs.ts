import { quietNoise } from '../../analysis/noise.ts';
import { quickselect } from '../../signal/quickselect.ts';
import { type Samples, sampleAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';

/** A stretch of a record that lies below a level, s. */
export interface DarkRun {
  readonly from: number;
  readonly to: number;
}

/** A mean is told from a level by so many times its noise: no false one among ten million (normal distribution). */
const certainty = 6;
/** Runs that show how regular the modulator's own gaps are. */
const fewestGaps = 10;

/**
 * Stretches in which the record lies below `level`, down to single samples where noise leaves them clear of it; else to the
 * shortest mean that is.
 *
 * Gaps between the pulses of a modulator are no dropouts: where runs come more often than one in `usual` seconds, only those count
 * that last longer than gaps of their spread do (one and a half times the nine in ten that are shortest, and six times as far
 * beyond as those lie beyond the median: a gap without memory gets there once in half a million).
 * Source: common practice, no source; the figure computed for geometric gaps.
 *
 * @param mean of the light, and level below it, in the record's unit
 * @param usual the longest time between a modulator's pulses, s
 */
export function darkRuns(
  waveform: Waveform,
  { mean, level }: { readonly mean: number; readonly level: number },
  usual: number,
): readonly DarkRun[] {
  const { samples, rate, start } = waveform;
  const width = Math.max(1, Math.ceil(((certainty * quietNoise(waveform)) / (mean - level)) ** 2));
  const runs = runsBelow(samples, level, width).map(({ first, last }) => ({
    from: start + first / rate,
    to: start + last / rate,
  }));
  if (runs.length < fewestGaps || runs.length * usual < samples.length / rate) return runs;
  const longest = longestGap(runs);
  return runs.filter(({ from, to }) => to - from > longest + 1.5 / rate);
}

interface Run {
  readonly first: number;
  /** The sample after the last. */
  readonly last: number;
}

/** Runs of means over `width` neighbours that lie below a level. */
function runsBelow(samples: Samples, level: number, width: number): Run[] {
  const runs: Run[] = [];
  if (samples.length < width) return runs;
  const limit = level * width;
  let sum = 0;
  for (let k = 0; k < width - 1; k++) sum += sampleAt(samples, k);
  let first = -1;
  for (let k = width - 1; k < samples.length; k++) {
    sum += sampleAt(samples, k);
    if (sum < limit) {
      if (first < 0) first = k - width + 1;
    } else if (first >= 0) {
      runs.push({ first, last: k });
      first = -1;
    }
    sum -= sampleAt(samples, k - width + 1);
  }
  if (first >= 0) runs.push({ first, last: samples.length });
  return runs;
}

/** How long the gaps of a modulator with these runs may be, s. */
function longestGap(runs: readonly DarkRun[]): number {
  const lengths = Float64Array.from(runs, ({ from, to }) => to - from);
  const half = quickselect(lengths, lengths.length >> 1);
  const most = quickselect(lengths, Math.floor(0.9 * lengths.length));
  return 1.5 * most + 6 * (most - half);
}
