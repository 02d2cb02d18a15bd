import { type Analysis, analysisOf } from '../../analysis/analysis.ts';
import { withoutNoise } from '../../analysis/disturbed-waveform.ts';
import type { Need } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { isRecord, windowOf } from '../../observe.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { differenceNoise } from '../../signal/noise-level.ts';
import { duration, lengthOf, type Waveform } from '../../waveform.ts';

/** A sound record with light in it, and its analysis. */
export interface LitRecord {
  readonly waveform: Waveform;
  readonly analysis: Analysis;
}

/** Fewer samples than this show no course of light at all. */
const fewest = 16;

/** The subject's record in the window, or why flicker cannot be told from it. */
export function litRecord(observation: Observation, need: Need): LitRecord | NotMeasurable {
  const waveform = windowOf(observation, need);
  if (!isRecord(waveform)) return waveform;
  const { rate, step = 0, unit } = waveform;
  const length = lengthOf(waveform);
  if (length < fewest) {
    return notMeasurable('too-short', {
      found: duration(waveform),
      needed: fewest / rate,
      unit: 's',
    });
  }
  const analysis = analysisOf(waveform);
  const original = withoutNoise(waveform);
  const { mean } = analysisOf(original).statistics;
  // The cheaper estimate of noise: not every metric needs the spectrum.
  const least = Math.max(step, (5 * differenceNoise(original)) / Math.sqrt(length));
  if (mean <= least) return notMeasurable('dark', { found: mean, needed: least, unit });
  return { waveform, analysis };
}
