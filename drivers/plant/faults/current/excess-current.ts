import type { Fault } from '../fault.ts';

export const excessCurrent: Fault = {
  id: 'excess-current',
  title: 'A sense resistor is too small',
  about: 'The first channel runs at too high a current, and lives too short.',
  family: 'current',
  size: { nominal: 0.1, unit: '1', about: 'relative excess of current' },
  sizes: [0.01, 0.05, 0.1],
  caughtBy: ['nominal-current'],
  needs: { stage: 'linear' },
  apply(model, size) {
    const [first] = model.channels;
    if (first) first.gain *= 1 + size;
  },
};
