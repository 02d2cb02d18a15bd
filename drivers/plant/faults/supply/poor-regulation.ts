import type { Fault } from '../fault.ts';

export const poorRegulation: Fault = {
  id: 'poor-regulation',
  title: 'Current follows the supply',
  about: 'The current reference is derived from the rail: the light moves with the supply voltage.',
  family: 'supply',
  size: { nominal: 1, unit: '1', about: 'relative change of current over that of the rail' },
  sizes: [0.03, 0.1, 0.3, 1],
  caughtBy: ['regulation', 'supply-dips'],
  apply(model, size) {
    model.stage.lineRegulation = size;
  },
};
