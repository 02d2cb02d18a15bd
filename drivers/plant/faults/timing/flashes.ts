import type { Fault } from '../fault.ts';

/** Control ticks of 1 ms that one lasts, and from one to the next. */
const lasts = 3;
const apart = 411;

export const flashes: Fault = {
  id: 'flashes',
  title: 'The light flashes up for a moment',
  about: 'Now and then the bytes of two levels are mixed up, and for 3 ms the light is too bright.',
  family: 'timing',
  size: { nominal: 3, unit: '1', about: 'relative excess of the light meanwhile' },
  sizes: [0.05, 0.15, 0.5, 3],
  caughtBy: ['no-flashes'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => before(brightness, at) * (at.tick % apart < lasts ? 1 + size : 1),
    };
  },
};
