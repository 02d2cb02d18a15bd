import type { Fault } from '../fault.ts';

export const dryCapacitor: Fault = {
  id: 'dry-capacitor',
  title: 'The storage capacitor has dried out',
  about:
    'The rail follows the rectified mains: the light swings deeply at twice the mains frequency.',
  family: 'supply',
  size: { nominal: 0.6, unit: '1', about: 'relative swing of the current' },
  sizes: [0.01, 0.05, 0.2, 0.6],
  caughtBy: ['table-of-modulation'],
  apply(model, size) {
    model.supply.ripple = size;
    model.supply.rippleFeedthrough = 1;
  },
};
