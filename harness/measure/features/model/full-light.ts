import type { ModelledLamp } from '../../modelled-lamp.ts';
import { modelledLightNeed } from '../../needs.ts';
import type { Observation, SignalRecord } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { weightedChannels } from '../../subject/commanded-light.ts';
import { darkReference } from '../level/dark-reference.ts';
import { meanLevel } from '../level/mean-level.ts';

/** What a record shows at full light, in its unit, and by which part it may lie beside that. */
export interface FullLight {
  readonly value: number;
  readonly tolerance: number;
}

/** So many standard uncertainties above zero there is light, and so many are allowed for. */
const clear = 5;
const allowed = 2;
/** Instants of the reference window at which the model is asked. */
const looks = 50;

/**
 * Full light of the subject. By a reference window, whatever level it has: its mean over the middle of what the model allows there.
 * Without one, the lamp file's current of a channel, give or take the parameter `tolerance`. Light in lx has no nominal value.
 */
export function fullLight(
  observation: Observation,
  modelled: ModelledLamp,
  { signal }: SignalRecord,
): FullLight | NotMeasurable {
  if (observation.reference) return shownBy(observation, modelled, observation.reference);
  const { commanded, of, parameters } = observation;
  const own = commanded.channels.find(({ channel }) => channel === of);
  if (signal !== 'channel-current' || !own)
    return notMeasurable('no-reference', {
      note: `${signal} has no nominal value: name a window of steady light as reference`,
    });
  return { value: own.maxCurrent, tolerance: Number(parameters['tolerance'] ?? 0) };
}

function shownBy(
  observation: Observation,
  modelled: ModelledLamp,
  { from, to }: NonNullable<Observation['reference']>,
): FullLight | NotMeasurable {
  const mean = meanLevel(observation, modelledLightNeed, { from, to });
  if (!isMeasurable(mean)) return mean;
  let [low, high] = [0, 0];
  for (let look = 0; look < looks; look++) {
    const at = from + ((look + 0.5) / looks) * (to - from);
    const why = modelled.whyWide(at);
    if (why !== null) return notMeasurable('no-reference', { note: `its light is open: ${why}` });
    for (const { channel, weight } of weightedChannels(observation)) {
      const bounds = modelled.levelAt(channel.channel, at);
      low += (weight * bounds.low) / looks;
      high += (weight * bounds.high) / looks;
    }
  }
  const level = (low + high) / 2;
  if (!(low > 0)) return notMeasurable('no-reference', { note: 'it has to be dark there' });
  if (!(mean.value > clear * mean.standard && mean.value > 0))
    return darkReference(observation, { from, to });
  // Of the reference nothing is known but that it lies within the model's own bounds.
  return { value: mean.value / level, tolerance: (allowed * mean.standard) / mean.value };
}
