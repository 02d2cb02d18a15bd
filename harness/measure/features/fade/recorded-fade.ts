import type { Need } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type CommandedFade, commandedFade } from './commanded-fade.ts';

/** The subject's one fade as it was commanded and recorded, whatever the light did. */
export interface RecordedFade {
  readonly commanded: CommandedFade;
  readonly waveform: Waveform;
}

export function recordedFade(observation: Observation, need: Need): RecordedFade | NotMeasurable {
  const waveform = soundRecord(observation, need);
  if (!isMeasurable(waveform)) return waveform;
  const commanded = commandedFade(observation);
  return isMeasurable(commanded) ? { commanded, waveform } : commanded;
}
