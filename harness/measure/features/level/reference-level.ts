import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { darkReference } from './dark-reference.ts';
import { type MeanLevel, meanLevel } from './mean-level.ts';

/** So many standard uncertainties above zero there is light. */
const clear = 5;

/** Mean in the window that the criterion names as its reference, in the record's unit; or why there is none to relate to. */
export function referenceLevel(observation: Observation): MeanLevel | NotMeasurable {
  const { reference } = observation;
  if (!reference)
    return notMeasurable('no-reference', { note: 'the criterion names no reference window' });
  const full = meanLevel(observation, relativeLevelNeed, reference);
  if (!isMeasurable(full)) return full;
  return full.value > clear * full.standard && full.value > 0
    ? full
    : darkReference(observation, reference);
}
