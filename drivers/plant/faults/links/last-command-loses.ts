import type { Fault } from '../fault.ts';

export const lastCommandLoses: Fault = {
  id: 'last-command-loses',
  title: 'Commands during a fade are dropped',
  about: 'While a fade runs, the lamp acknowledges new commands and ignores them.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['last-command-wins'],
  apply(model) {
    model.firmware = { ...model.firmware, duringFade: 'dropped' };
  },
};
