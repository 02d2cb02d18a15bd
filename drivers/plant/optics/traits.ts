import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The way of the light from the LEDs to the sensors. */
export interface OpticsTraits {
  /** Illuminance at the sensors for each lumen of a channel, lx/lm, one figure a channel. */
  luxPerLumen: number[];
  /** lx of other light at the sensors. */
  stray: number;
}

/** One lux at the sensors for each lumen of the lamp, the same for all channels within `spread` (k = 1). */
const spread = 0.005;

/** A mixing optic in the dark: no stray light. */
export function healthyOptics(lamp: Lamp, random: Random): OpticsTraits {
  return { luxPerLumen: lamp.channels.map(() => 1 + random.within(spread)), stray: 0 };
}
