import type { Fault } from '../fault.ts';
import { heatFast } from './hot-board.ts';

export const thermalColourDrift: Fault = {
  id: 'thermal-colour-drift',
  title: 'Colour drifts with heat',
  about: 'The phosphor shifts as the board warms up within seconds.',
  family: 'thermal',
  size: { nominal: 0.04, unit: '1', about: 'shift of x and y when hot, CIE 1931' },
  sizes: [0.004, 0.01, 0.02, 0.04],
  caughtBy: ['white-point-while-warming', 'colour-repeats'],
  apply(model, size, lamp) {
    const kelvin = heatFast(model, lamp);
    for (const { emitter } of model.channels)
      emitter.xyPerKelvin = [-size / kelvin, -size / kelvin];
  },
};
