import type { Fault } from '../fault.ts';

export const standbyDraw: Fault = {
  id: 'standby-draw',
  title: 'Standby draws too much',
  about: 'The converters are not shut down when the lamp is off, and go on to draw power.',
  family: 'supply',
  size: { nominal: 0.8, unit: 'W', about: 'power that is drawn beyond the usual standby' },
  sizes: [0.02, 0.1, 0.3, 0.8],
  caughtBy: ['standby-power', 'standby-from-mains'],
  apply(model, size) {
    model.supply.standby += size;
  },
};
