import type { Fault } from '../fault.ts';

export const brownOut: Fault = {
  id: 'brown-out',
  title: 'Restarts under load',
  about: 'At full load the rail falls below the reset threshold, and the lamp keeps restarting.',
  family: 'supply',
  size: { nominal: 3, unit: 'Ω', about: 'resistance of the wires' },
  sizes: [0.5, 1, 2.5, 3, 6],
  caughtBy: ['mean-current'],
  needs: { supply: 'dc' },
  apply(model, size, lamp) {
    model.supply.sourceResistance = size;
    model.supply.brownOut = 0.9 * lamp.supply.nominal;
  },
};
