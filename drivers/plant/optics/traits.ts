import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The way of the light from the LEDs to the sensors. */
export interface OpticsTraits {
  /** lx of other light at the sensors. */
  stray: number;
  /** Part of each channel's light that comes out in the colour of the next one: it lights up what lies over that. */
  crosstalk: number;
}

/** One lux at the sensors for each lumen of the lamp, the same for all channels within `spread` (k = 1). */
const spread = 0.005;

/** A mixing optic in the dark. */
export function healthyOptics({ crosstalk = 0 }: Pick<Lamp, 'crosstalk'>): OpticsTraits {
  return { stray: 0, crosstalk };
}

/** lx/lm of one channel behind a mixing optic. */
export function healthyLuxPerLumen(random: Random): number {
  return 1 + random.within(spread);
}
