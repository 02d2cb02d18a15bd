import type { Fault } from '../fault.ts';

/** s */
const lasts = 0.02;

export const powerOnOvershoot: Fault = {
  id: 'power-on-overshoot',
  title: 'The light overshoots at power-on',
  about: 'For 20 ms after the start-up time the light is brighter than it was.',
  family: 'supply',
  size: { nominal: 0.5, unit: '1', about: 'relative light beyond the level' },
  sizes: [0.05, 0.5],
  caughtBy: ['comes-on-cleanly'],

  apply(model, size, lamp) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const age = at.tick * at.tickPeriod - lamp.startUp;
        return before(brightness, at) * (age < lasts ? 1 + size : 1);
      },
    };
  },
};
