import type { Fault } from '../fault.ts';

export const harmonicCurrent: Fault = {
  id: 'harmonic-current',
  title: 'Corrector distorts the mains current',
  about: 'The correction loop is too fast and follows the bus ripple: third harmonic.',
  family: 'supply',
  size: { nominal: 0.4, unit: '1', about: 'third harmonic over the fundamental' },
  sizes: [0.05, 0.15, 0.33, 0.4, 0.7],
  caughtBy: ['class-c-harmonics', 'class-c-dimmed'],
  needs: { supply: 'mains' },
  apply(model, size) {
    model.supply.thirdHarmonic = size;
  },
};
