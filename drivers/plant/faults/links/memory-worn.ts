import type { Fault } from '../fault.ts';

export const memoryWorn: Fault = {
  id: 'memory-worn',
  title: 'A fade wears out the memory',
  about: 'While a fade runs the light is written into non-volatile memory again and again.',
  family: 'links',
  size: { nominal: 0.1, unit: 's', about: 'time from one write to the next' },
  sizes: [1, 0.1, 0.001],
  caughtBy: ['memory-rests'],
  apply(model, size) {
    model.firmware = { ...model.firmware, storesEvery: size };
  },
};
