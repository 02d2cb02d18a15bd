import { hannTrack } from '../../analysis/hann-track.ts';
import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** Averages in the window that do not overlap: what moves faster is no level. */
const averages = 25;

/** The averaged light of a window, in the unit of the record; times in seconds. */
export function heldTrack(observation: Observation): ReturnType<typeof hannTrack> | NotMeasurable {
  const { window } = observation;
  const part = soundPart(observation, relativeLevelNeed, window);
  if (!isMeasurable(part)) return part;
  const width = Math.max((window.to - window.from) / averages, 1 / part.rate);
  return hannTrack(part, window, width, width / 4);
}

/** The level that is commanded in the reference window, 0 to 1; 0 where there is none. */
export function commandedReference(observation: Observation): number {
  const { reference } = observation;
  return reference ? commandedMean(observation, reference) : 0;
}
