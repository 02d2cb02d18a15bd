import type { Fault } from '../fault.ts';

export const longDeadTime: Fault = {
  id: 'long-dead-time',
  title: 'The gate driver has a long dead time',
  about:
    'It switches on later than it should, and off in time: every pulse is shorter, which short ones show most.',
  family: 'current',
  size: { nominal: 1e-8, unit: 's', about: 'time by which every pulse is shorter' },
  sizes: [1e-11, 1e-9, 1e-8],
  caughtBy: ['reaches-bottom'],
  apply(model, size) {
    model.stage.deadTime += size;
  },
};
