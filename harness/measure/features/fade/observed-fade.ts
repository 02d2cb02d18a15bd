import type { Need } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { commandedLine, type FadeFit, fitFade } from './fit-fade.ts';
import { type RecordedFade, recordedFade } from './recorded-fade.ts';

/** The subject's one fade: as commanded, as recorded, as fitted. */
export interface ObservedFade extends RecordedFade {
  readonly fit: FadeFit;
  /** The line was not fitted: it is the commanded one. */
  readonly asCommanded?: true;
}

export function observedFade(
  observation: Observation,
  need: Need = fadeNeed,
): ObservedFade | NotMeasurable {
  const recorded = recordedFade(observation, need);
  if (!isMeasurable(recorded)) return recorded;
  const fit = fitFade(recorded.waveform, recorded.commanded);
  return isMeasurable(fit) ? { ...recorded, fit } : fit;
}

/**
 * The same for those who ask how the light goes between its ends: where no straight line can be fitted, the line is the commanded one,
 * between the plateaus that were measured.
 */
export function fadeOfAnyShape(observation: Observation): ObservedFade | NotMeasurable {
  const fade = observedFade(observation);
  if (isMeasurable(fade) || fade.reason !== 'not-a-straight-fade') return fade;
  const recorded = recordedFade(observation, fadeNeed);
  if (!isMeasurable(recorded)) return recorded;
  const fit = commandedLine(recorded.waveform, recorded.commanded);
  return isMeasurable(fit) ? { ...recorded, fit, asCommanded: true } : fit;
}
