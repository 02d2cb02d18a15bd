import type { Need } from '../../metric.ts';

/**
 * What the flicker family reads: light, or the LED current of one channel, to which the light is proportional.
 * 2 kS/s is the least that shows the 1 kHz that most limits end at.
 */
export const lightNeed: Need = { signals: ['light', 'channel-current'], scope: 'one', rate: 2000 };
