import type { Fault } from '../fault.ts';

export const leakage: Fault = {
  id: 'leakage',
  title: 'Current leaks past the switch',
  about:
    'LED current flows whatever the modulator does: the lamp is never dark, and its bottom is too bright.',
  family: 'low end',
  size: { nominal: 0.001, unit: '1', about: "leakage over the channel's full current" },
  sizes: [5e-5, 2e-4, 0.001, 0.005],
  caughtBy: ['reaches-bottom', 'dark-when-off', 'no-current-when-off'],
  apply(model, size) {
    for (const channel of model.channels) channel.leakage = size * channel.nominal.maxCurrent;
  },
};
