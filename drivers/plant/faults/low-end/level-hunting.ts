import type { Fault } from '../fault.ts';

export const levelHunting: Fault = {
  id: 'level-hunting',
  title: 'The level hunts at the bottom',
  about: 'The level control never settles: low light swings slowly around its target.',
  family: 'low end',
  size: { nominal: 0.1, unit: '1', about: 'relative swing' },
  sizes: [0.003, 0.01, 0.03, 0.1],
  caughtBy: [
    'dither-invisible',
    'stable-at-bottom',
    'camera-at-bottom',
    'eye-in-fade',
    'mix-stable-at-bottom',
  ],
  apply(model, size) {
    const { output: before } = model.firmware;
    const below = 0.02;
    const frequency = 8;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const up = Math.floor(at.tick * at.tickPeriod * 2 * frequency) % 2 === 0;
        return wanted < below ? wanted * (up ? 1 + size : 1 - size) : wanted;
      },
    };
  },
};
