import type { Fault } from '../fault.ts';

export const visibleDither: Fault = {
  id: 'visible-dither',
  title: 'Dither is slow enough to see',
  about: 'Neighbouring codes alternate so slowly that the bottom of the curve shimmers.',
  family: 'low end',
  size: { nominal: 0.05, unit: 's', about: 'time from one code to the next' },
  sizes: [0.002, 0.01, 0.05, 0.2],
  caughtBy: ['dither-invisible', 'camera-at-bottom', 'no-effect-in-fade', 'eye-in-fade'],
  apply(model, size) {
    const { output: before } = model.firmware;
    const codes = 4096;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const code = before(brightness, at) * codes;
        const turn = Math.floor((at.tick * at.tickPeriod) / size + 1e-6);
        // Threshold of the turn: 8 of them, in the order of reversed bits.
        const threshold = ((turn & 1) << 2) | (turn & 2) | ((turn & 4) >> 2);
        return Math.floor(code + (threshold + 0.5) / 8) / codes;
      },
    };
  },
};
