import type { Fault } from '../fault.ts';

export const mainsBreakthrough: Fault = {
  id: 'mains-breakthrough',
  title: 'Mains ripple comes through',
  about: "The rail's ripple at twice the mains frequency reaches the LED current.",
  family: 'supply',
  size: { nominal: 0.1, unit: '1', about: 'relative swing of the current' },
  sizes: [0.003, 0.01, 0.03, 0.1, 0.3],
  caughtBy: [
    'no-beat',
    'steady-at-full',
    'low-frequency-in-fade',
    'camera-in-fade',
    'no-effect-in-fade',
  ],
  apply(model, size) {
    model.supply.ripple = size;
    model.supply.rippleFeedthrough = 1;
  },
};
