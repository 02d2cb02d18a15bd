import type { Fault } from '../fault.ts';

export const currentLoopHunts: Fault = {
  id: 'current-loop-hunts',
  title: 'The current loop has a limit cycle',
  about: 'At low drive the loop never settles: the light swings a hundred times a second.',
  family: 'low end',
  size: { nominal: 0.3, unit: '1', about: 'relative swing' },
  sizes: [0.03, 0.1, 0.3, 0.6],
  caughtBy: ['low-risk'],
  apply(model, size) {
    model.stage.limitCycle = { below: 0.02, swing: size, frequency: 100 };
  },
};
