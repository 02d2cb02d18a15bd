import type { Fault } from '../fault.ts';

/** Board temperature at which the lamp begins to hold itself down, °C. Invented. */
const hot = 50;

export const deratingInSteps: Fault = {
  id: 'derating-in-steps',
  title: 'Thermal protection dims in steps',
  about:
    'The lamp reads a coarse table as it warms up: every few kelvin the light falls by a visible step.',
  family: 'thermal',
  size: { nominal: 0.1, unit: '1', about: 'light that a step of 5 K takes away' },
  sizes: [0.0001, 0.01, 0.1],
  caughtBy: ['warming-is-smooth'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const steps = Math.max(0, Math.floor((at.temperature - hot) / 5));
        return Math.min(wanted, 1 - size * steps);
      },
    };
  },
};
