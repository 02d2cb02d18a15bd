import type { Need } from '../../metric.ts';

/** What every metric of an LED current reads. */
export const currentNeed: Need = { signals: ['channel-current'], scope: 'one' };
