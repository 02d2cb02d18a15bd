import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { darkReference } from './dark-reference.ts';
import { meanLevel } from './mean-level.ts';

/** Mean in the window over mean in the reference window. */
export interface RelativeLevel {
  readonly ratio: number;
  /** Standard uncertainty of the ratio from the scatter within both windows. */
  readonly standard: number;
  readonly level: number;
  readonly reference: number;
}

export function relativeLevel(observation: Observation): RelativeLevel | NotMeasurable {
  const { window, reference } = observation;
  if (!reference)
    return notMeasurable('no-reference', { note: 'the criterion names no reference window' });
  const level = meanLevel(observation, relativeLevelNeed, window);
  if (!isMeasurable(level)) return level;
  const full = meanLevel(observation, relativeLevelNeed, reference);
  if (!isMeasurable(full)) return full;
  if (!(full.value > 5 * full.standard) || full.value <= 0) {
    return darkReference(observation, reference);
  }
  const ratio = level.value / full.value;
  const standard = Math.hypot(level.standard, ratio * full.standard) / full.value;
  return { ratio, standard, level: level.value, reference: full.value };
}
