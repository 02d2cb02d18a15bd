import type { Plant } from '../plant.ts';
import { channelCurrent } from './sources.ts';

/**
 * Mean current of each channel over `count` stretches of `step` seconds from `from` on, relative to its nominal full current, without a
 * sensor's noise and errors; in the lamp's order.
 */
export function meanCurrents(
  plant: Plant,
  { from, count, step }: { readonly from: number; readonly count: number; readonly step: number },
): readonly Float32Array[] {
  return plant.lamp.channels.map(({ maxCurrent }, channel) => {
    const samples = new Float32Array(count);
    channelCurrent(plant, channel).fill({ samples, t0: from, dt: step });
    return samples.map((amps) => amps / maxCurrent);
  });
}
