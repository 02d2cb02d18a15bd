import type { Fault } from '../fault.ts';

export const slowEdges: Fault = {
  id: 'slow-edges',
  title: 'Current rises too slowly',
  about:
    'A gate resistor is ten times too large: each pulse loses light, most where pulses are short.',
  family: 'current',
  size: { nominal: 4e-8, unit: 's', about: 'added rise time' },
  sizes: [4e-9, 1.2e-8, 4e-8, 1.2e-7],
  caughtBy: ['reaches-bottom', 'crisp-edges', 'shortest-pulse'],
  apply(model, size) {
    model.stage.riseTime += size;
  },
};
