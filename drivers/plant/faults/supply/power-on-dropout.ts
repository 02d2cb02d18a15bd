import type { Fault } from '../fault.ts';

/** s after the start. */
const begins = 1.2;

export const powerOnDropout: Fault = {
  id: 'power-on-dropout',
  title: 'The light goes out again after power-on',
  about: 'A moment after the light has come the controller of the input stage starts anew.',
  family: 'supply',
  size: { nominal: 0.05, unit: 's', about: 'time for which the light is out' },
  sizes: [0.001, 0.01, 0.05],
  caughtBy: ['comes-on-cleanly'],

  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const age = at.tick * at.tickPeriod - begins;
        return age >= 0 && age < size ? 0 : before(brightness, at);
      },
    };
  },
};
