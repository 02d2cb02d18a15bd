import type { Fault } from '../fault.ts';

export const lowCurrent: Fault = {
  id: 'low-current',
  title: 'Wrong sense resistor on one channel',
  about: 'The first channel runs at too low a current.',
  family: 'current',
  size: { nominal: 0.2, unit: '1', about: 'relative loss of current' },
  sizes: [0.02, 0.05, 0.1, 0.2, 0.5],
  caughtBy: ['mean-current'],
  apply(model, size) {
    const [first] = model.channels;
    if (first) first.gain *= 1 - size;
  },
};
