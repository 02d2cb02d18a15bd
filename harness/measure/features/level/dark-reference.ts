import type { Observation, Window } from '../../observation.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';

/**
 * Why nothing can be related to a reference window without light. Light was commanded there and did not come: `dark`,
 * which is the lamp's doing. Dark was commanded: `no-reference`, there is none by the spec's own words.
 * Source: common practice, no source.
 */
export function darkReference(
  observation: Observation,
  reference: Window,
  note = 'no light in the reference window',
): NotMeasurable {
  const asked = commandedMean(observation, reference);
  return notMeasurable(asked > 0 ? 'dark' : 'no-reference', { note });
}
