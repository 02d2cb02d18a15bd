import type { Need } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type CommandedFade, commandedFade } from './commanded-fade.ts';
import { type FadeFit, fitFade } from './fit-fade.ts';

/** The subject's one fade: as commanded, as recorded, as fitted. */
export interface ObservedFade {
  readonly commanded: CommandedFade;
  readonly waveform: Waveform;
  readonly fit: FadeFit;
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
