import type { Fault } from '../fault.ts';

/** Board temperature at which the lamp begins to hold itself down, °C. Invented. */
const hot = 50;

export const deratingLatches: Fault = {
  id: 'derating-latches',
  title: 'Thermal protection stays on when the lamp has cooled',
  about: 'Once the board was hot the light stays down until it is set anew.',
  family: 'thermal',
  size: { nominal: 0.2, unit: '1', about: 'part of full light that is withheld' },
  sizes: [0.01, 0.05, 0.2],
  caughtBy: ['recovers-after-heat'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const limit = 1 - size;
        const isHeld = at.temperature > hot || (at.previous === limit && wanted > limit);
        return isHeld ? Math.min(wanted, limit) : wanted;
      },
    };
  },
};
