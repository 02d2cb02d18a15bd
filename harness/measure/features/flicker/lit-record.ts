import { type Analysis, analysisOf } from '../../analysis/analysis.ts';
import { noiselessMean } from '../../analysis/means.ts';
import { recordedNoise } from '../../analysis/noise.ts';
import { duration, lengthOf } from '../../analysis/waveform-part.ts';
import type { Need } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { soundPart } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/** A sound record with light in it, and its analysis. */
export interface LitRecord {
  readonly waveform: Waveform;
  readonly analysis: Analysis;
}

/** Fewer samples than this show no course of light at all. */
const fewest = 16;

/** The subject's record in the window, or why flicker cannot be told from it. */
export function litRecord(observation: Observation, need: Need): LitRecord | NotMeasurable {
  const waveform = soundPart(observation, need);
  if (!isMeasurable(waveform)) return waveform;
  const { rate, step = 0, unit } = waveform;
  const length = lengthOf(waveform);
  if (length < fewest) {
    return notMeasurable('too-short', {
      found: duration(waveform),
      needed: fewest / rate,
      unit: 's',
    });
  }
  const mean = noiselessMean(waveform);
  // The cheaper estimate of noise: not every metric needs the spectrum.
  const least = Math.max(step, (5 * recordedNoise(waveform)) / Math.sqrt(length));
  if (mean <= least) return notMeasurable('dark', { found: mean, needed: least, unit });
  const analysis = analysisOf(waveform);
  const { lowest, highest } = analysis.statistics;
  if (lowest === highest && step === 0) return notMeasurable('unresolved', { note: frozen });
  return { waveform, analysis };
}

/** Real light has noise: samples that are all alike say how fine the record is not, and nothing of what that hides. */
const frozen = 'every sample is the same, and the step of the converter is not stated';
