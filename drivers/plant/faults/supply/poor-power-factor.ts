import type { Fault } from '../fault.ts';

export const poorPowerFactor: Fault = {
  id: 'poor-power-factor',
  title: 'Power-factor correction is off',
  about: 'The rectifier charges its capacitor in short bursts.',
  family: 'supply',
  size: { nominal: 0.93, unit: '1', about: 'sine of the angle below which no current flows' },
  sizes: [0.1, 0.3, 0.6, 0.93],
  caughtBy: ['power-factor', 'class-c-harmonics', 'class-c-dimmed'],
  needs: { supply: 'mains' },
  apply(model, size) {
    model.supply.conduction = size;
  },
};
