import type { Rig, Wire } from '../../../harness/bench/rig.ts';
import type { Plant } from '../plant.ts';
import { lightSource } from '../sensors/sources.ts';
import { channelOf } from './channel-of.ts';

/** Samples of a reading: epochs change on whole samples, and short ones keep that error small. */
const parts = 32;

/** Where a colour instrument looks. */
export interface LookedAt {
  readonly plant: Plant;
  readonly rig: Rig;
  readonly wire: Wire;
}

/** True light over an integration from `start` on, lx. */
export function meanTristimulus(
  { plant, rig, wire }: LookedAt,
  start: number,
  integration: number,
): { readonly X: number; readonly Y: number; readonly Z: number } {
  const only = channelOf(plant.lamp, rig, wire);
  const dt = integration / parts;
  const mean = (component: 'X' | 'Y' | 'Z'): number => {
    const source = lightSource(plant, component, only);
    let sum = 0;
    for (let part = 0; part < parts; part++) {
      const samples = new Float32Array(1);
      source.fill({ samples, t0: start + (part * integration) / parts, dt });
      sum += samples[0] ?? 0;
    }
    return sum / parts;
  };
  return { X: mean('X'), Y: mean('Y'), Z: mean('Z') };
}
