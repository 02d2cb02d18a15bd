import type { Fault } from '../fault.ts';

export const supplyStepBlinks: Fault = {
  id: 'supply-step-blinks',
  title: 'The light blinks when the supply steps',
  about:
    'The input stage restarts whenever its voltage moves quickly, and the light goes out meanwhile.',
  family: 'supply',
  size: { nominal: 0.005, unit: 's', about: 'how long the light is out' },
  sizes: [0, 0.002, 0.005, 0.05],
  caughtBy: ['supply-steps'],
  apply(model, size) {
    model.firmware = { ...model.firmware, supplyStepDip: size };
  },
};
