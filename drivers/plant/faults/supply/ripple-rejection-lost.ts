import type { Fault } from '../fault.ts';

export const rippleRejectionLost: Fault = {
  id: 'ripple-rejection-lost',
  title: 'The current follows the ripple of the rail',
  about:
    'The current loop is too slow for the ripple that the rail has anyway: it comes through to the light.',
  family: 'supply',
  size: { nominal: 1, unit: '1', about: "part of the rail's relative ripple that comes through" },
  sizes: [0.02, 0.3, 1],
  caughtBy: ['camera', 'camera-in-fade'],
  needs: { supply: 'mains' },
  apply(model, size) {
    model.supply.rippleFeedthrough = size;
  },
};
