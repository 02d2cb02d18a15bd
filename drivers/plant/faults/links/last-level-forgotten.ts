import type { Fault } from '../fault.ts';

export const lastLevelForgotten: Fault = {
  id: 'last-level-forgotten',
  title: 'The last level does not come back',
  about: 'After a power loss the lamp stays dark.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['recalls-level', 'supply-returns', 'reset-in-fade', 'power-cycle-in-fade'],
  apply(model) {
    model.firmware = { ...model.firmware, recallsLastLevel: false };
  },
};
