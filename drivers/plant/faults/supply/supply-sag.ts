import type { Fault } from '../fault.ts';

export const supplySag: Fault = {
  id: 'supply-sag',
  title: 'Channels pull each other down',
  about:
    'Thin supply wires and a current reference that follows the rail: each channel dims when the others are lit.',
  family: 'supply',
  size: { nominal: 1, unit: 'Ω', about: 'resistance of the wires' },
  sizes: [0.1, 0.3, 1, 2],
  caughtBy: ['regulation', 'supply-dips'],
  needs: { channels: 2, supply: 'dc' },
  apply(model, size) {
    model.supply.sourceResistance = size;
    model.stage.lineRegulation = 1;
  },
};
