import type { Fault } from '../fault.ts';

export const shortPulsesLost: Fault = {
  id: 'short-pulses-lost',
  title: 'Pulses below a length give no light',
  about: 'The driver cannot follow short gate pulses: the bottom of the curve goes dark.',
  family: 'low end',
  size: { nominal: 6e-8, unit: 's', about: 'shortest pulse that still gives current' },
  sizes: [2e-8, 4e-8, 5.5e-8, 6e-8, 2e-7],
  caughtBy: ['reaches-bottom'],
  apply(model, size) {
    model.stage.shortestPulse = size;
  },
};
