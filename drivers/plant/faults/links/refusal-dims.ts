import type { Fault } from '../fault.ts';

export const refusalDims: Fault = {
  id: 'refusal-dims',
  title: 'A refused line dims the lamp',
  about:
    'The error handler of the console overwrites the dim level: garbled lines take light away.',
  family: 'links',
  size: { nominal: 0.2, unit: '1', about: 'part of the light that each refused line takes away' },
  sizes: [0.0001, 0.001, 0.01, 0.2, 0.9],
  caughtBy: ['console-noise'],
  needs: { links: ['console'] },
  apply(model, size) {
    const { refusedLevel: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      refusedLevel: (level) => before(level) * (1 - size),
    };
  },
};
