import type { Fault } from '../fault.ts';

export const energyOvercounted: Fault = {
  id: 'energy-overcounted',
  title: 'The energy meter counts too fast',
  about:
    'The active energy in DALI memory grows by more than the lamp takes: a wrong calibration constant, while the power beside it is right.',
  family: 'links',
  size: { nominal: 0.2, unit: '1', about: 'what is counted too much, relative' },
  sizes: [0.02, 0.05, 0.1, 0.2],
  caughtBy: ['dali-reported-energy', 'dali-reported-mains-energy'],
  needs: { links: ['dali'], banks: [202] },
  apply(model, size) {
    model.firmware = { ...model.firmware, meteredEnergy: (joules) => joules * (1 + size) };
  },
};
