import type { Fault } from '../fault.ts';

export const mixForgotten: Fault = {
  id: 'mix-forgotten',
  title: 'The mix does not come back',
  about: 'After a power loss every channel is at full intensity.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['recalls-mix', 'dali-mix-survives'],
  needs: { channels: 2 },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      recalledMix: (intensities) => intensities.map(() => 1),
    };
  },
};
