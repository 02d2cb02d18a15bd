import type { Fault } from '../fault.ts';

export const sensorShorted: Fault = {
  id: 'sensor-shorted',
  title: "The board's thermometer is shorted",
  about:
    'The firmware reads a board that is burning hot. The built-in one does not believe it, and holds its light down.',
  family: 'thermal',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['mean-current'],
  apply(model) {
    model.thermal.sensor = 'shorted';
  },
};
