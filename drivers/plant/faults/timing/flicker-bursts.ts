import type { Fault } from '../fault.ts';

/** s: from one burst to the next, and how long it lasts. A look of three minutes from the start misses the first. */
const apart = 200;
const lasts = 4;
/** Hz, where the eye is most sensitive. */
const frequency = 8.8;

export const flickerBursts: Fault = {
  id: 'flicker-bursts',
  title: 'The light flickers for a moment every few minutes',
  about:
    'A housekeeping task takes the processor every 200 s: for 4 s the output is written late, and the light flutters.',
  family: 'timing',
  size: { nominal: 0.03, unit: '1', about: 'relative swing of the light meanwhile' },
  sizes: [0.0003, 0.003, 0.03, 0.1],
  caughtBy: ['eye-ten-minutes'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const time = at.tick * at.tickPeriod;
        if (time % apart < apart - lasts) return wanted;
        return wanted * (Math.floor(2 * frequency * time) % 2 === 0 ? 1 + size : 1 - size);
      },
    };
  },
};
