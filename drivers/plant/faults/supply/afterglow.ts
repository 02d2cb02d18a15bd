import type { Fault } from '../fault.ts';

/** Relative light at which the outputs' capacitors are empty. */
const empty = 1e-5;

export const afterglow: Fault = {
  id: 'afterglow',
  title: 'The light dies away slowly',
  about: 'Large capacitors across the LEDs keep them lit for a while after they were switched off.',
  family: 'supply',
  size: { nominal: 0.05, unit: 's', about: 'time constant of the decay' },
  sizes: [0.002, 0.008, 0.02, 0.05],
  caughtBy: ['dark-when-off'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const left = at.previous * Math.exp(-at.tickPeriod / size);
        return Math.max(before(brightness, at), left > empty ? left : 0);
      },
    };
  },
};
