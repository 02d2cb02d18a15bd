import type { Need } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type CommandedFade, commandedFade } from './commanded-fade.ts';
import { commandedLine, type FadeFit, fitFade } from './fit-fade.ts';

/** The subject's one fade: as commanded, as recorded, as fitted. */
export interface ObservedFade {
  readonly commanded: CommandedFade;
  readonly waveform: Waveform;
  readonly fit: FadeFit;
  /** The line was not fitted: it is the commanded one. */
  readonly asCommanded?: true;
}

export function observedFade(
  observation: Observation,
  need: Need = fadeNeed,
): ObservedFade | NotMeasurable {
  const waveform = soundRecord(observation, need);
  if (!isMeasurable(waveform)) return waveform;
  const commanded = commandedFade(observation);
  if (!isMeasurable(commanded)) return commanded;
  const fit = fitFade(waveform, commanded);
  return isMeasurable(fit) ? { commanded, waveform, fit } : fit;
}

/**
 * The same for those who ask how the light goes between its ends: where no straight line can be fitted, the line is the commanded one,
 * between the plateaus that were measured.
 */
export function fadeOfAnyShape(observation: Observation): ObservedFade | NotMeasurable {
  const fade = observedFade(observation);
  if (isMeasurable(fade) || fade.reason !== 'not-a-straight-fade') return fade;
  const waveform = soundRecord(observation, fadeNeed);
  if (!isMeasurable(waveform)) return waveform;
  const commanded = commandedFade(observation);
  if (!isMeasurable(commanded)) return commanded;
  const fit = commandedLine(waveform, commanded);
  return isMeasurable(fit) ? { commanded, waveform, fit, asCommanded: true } : fit;
}
