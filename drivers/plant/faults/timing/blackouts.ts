import type { Fault } from '../fault.ts';

/** Control ticks of 1 ms that one lasts, and from one to the next. */
const lasts = 4;
const apart = 397;

export const blackouts: Fault = {
  id: 'blackouts',
  title: 'The light goes out for a moment',
  about:
    'Now and then the output is not written in time, and for 4 ms it stands where it should not.',
  family: 'timing',
  size: { nominal: 1, unit: '1', about: 'part of the light that is missing meanwhile' },
  sizes: [0.05, 0.15, 0.4, 1],
  caughtBy: ['no-blackouts'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => before(brightness, at) * (at.tick % apart < lasts ? 1 - size : 1),
    };
  },
};
