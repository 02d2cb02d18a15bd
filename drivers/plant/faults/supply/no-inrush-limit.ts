import type { Fault } from '../fault.ts';

export const noInrushLimit: Fault = {
  id: 'no-inrush-limit',
  title: 'Inrush is hardly limited',
  about:
    'The resistor that limits the current at power-on is too small, or its relay closes too early.',
  family: 'supply',
  size: { nominal: 0.52, unit: '1', about: 'part of the resistance that is left' },
  sizes: [0.99, 0.9, 0.7, 0.52],
  caughtBy: ['inrush', 'inrush-from-mains'],
  apply(model, size) {
    model.supply.inrushResistance *= size;
  },
};
