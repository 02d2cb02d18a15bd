import type { Fault } from '../fault.ts';

export const processorStarvation: Fault = {
  id: 'processor-starvation',
  title: 'Commands starve the control tick',
  about: 'Each command takes so long that ticks are skipped when many arrive.',
  family: 'timing',
  size: { nominal: 0.05, unit: 's', about: 'processor time of a command' },
  sizes: [0.001, 0.01, 0.05],
  caughtBy: ['processor-load', 'storm-in-fade'],
  apply(model, size) {
    model.firmware = { ...model.firmware, commandCost: size };
  },
};
