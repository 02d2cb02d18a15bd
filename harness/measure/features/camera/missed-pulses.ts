import { memoiseSamples } from '../../signal/memoise.ts';
import { type Samples, sampleAt } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';

/** Samples within this part of the swing from an end stand on that level. */
const level = 0.2;
/** Means show samples between the levels, if few of them where pulses are much shorter than a sample; instants show none. */
const between = 1e-4;
/** So many of the pulses are a single sample where their width is no figure of the record's. */
const single = 0.1;

interface Runs {
  shortest: number;
  longest: number;
  singles: number;
  count: number;
}

/**
 * Are the samples the light at instants, of pulses (or gaps) that are no longer than a sample or two? Then pulses fall between
 * samples or count for a whole one, and how much light an exposure collects is not to be told. It shows in two bare levels with
 * pulses of a single sample whose widths or distances change by more than means of the same pulses would make them; a clock
 * that is locked to the pulses makes them alike.
 */
export const missesPulses = memoiseSamples((samples: Samples): boolean => {
  const { lowest, highest } = statistics(samples);
  const swing = highest - lowest;
  const [low, high] = [lowest + level * swing, highest - level * swing];
  const runs: readonly [Runs, Runs] = [noRuns(), noRuns()];
  let partial = 0;
  let [state, length, first] = [-1, 0, true];
  for (let k = 0; k < samples.length; k++) {
    const value = sampleAt(samples, k);
    const now = value >= high ? 1 : value <= low ? 0 : state;
    if (value < high && value > low) partial++;
    if (now === state || state < 0) length++;
    else {
      // The record's end may have cut the first run.
      if (!first) count(runs[state === 1 ? 1 : 0], length);
      [first, length] = [false, 1];
    }
    state = now;
  }
  const [gaps, pulses] = runs;
  if (partial > between * (gaps.count + pulses.count)) return false;
  return areMissed(pulses, gaps) || areMissed(gaps, pulses);
});

function noRuns(): Runs {
  return { shortest: Number.POSITIVE_INFINITY, longest: 0, singles: 0, count: 0 };
}

function count(runs: Runs, length: number): void {
  runs.shortest = Math.min(runs.shortest, length);
  runs.longest = Math.max(runs.longest, length);
  if (length === 1) runs.singles++;
  runs.count++;
}

function areMissed(short: Runs, others: Runs): boolean {
  if (short.singles < single * short.count) return false;
  return short.longest > short.shortest || others.longest > others.shortest + 1;
}
