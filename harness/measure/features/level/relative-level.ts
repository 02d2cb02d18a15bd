import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { meanLevel } from './mean-level.ts';
import { referenceLevel } from './reference-level.ts';

/** Mean in the window over mean in the reference window. */
export interface RelativeLevel {
  readonly ratio: number;
  /** Standard uncertainty of the ratio from the scatter within both windows. */
  readonly standard: number;
  /** The same, from pulses whose edges lie between the samples. */
  readonly edges: number;
  readonly level: number;
  readonly reference: number;
}

export function relativeLevel(observation: Observation): RelativeLevel | NotMeasurable {
  const level = meanLevel(observation, relativeLevelNeed, observation.window);
  if (!isMeasurable(level)) return level;
  const full = referenceLevel(observation);
  if (!isMeasurable(full)) return full;
  const ratio = level.value / full.value;
  const standard = Math.hypot(level.standard, ratio * full.standard) / full.value;
  const edges = Math.hypot(level.edges, ratio * full.edges) / full.value;
  return { ratio, standard, edges, level: level.value, reference: full.value };
}
