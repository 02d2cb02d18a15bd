import type { Fault } from '../fault.ts';

export const slotZeroGlows: Fault = {
  id: 'slot-zero-glows',
  title: 'Slot value 0 is not off',
  about: 'A fade of a console to dark ends at the lowest level of the curve.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'light that is left, relative to the bottom of the curve' },
  sizes: [0.01, 0.1, 1],
  caughtBy: ['slots-fade-dark'],
  needs: { links: ['dmx'] },
  apply(model, size, lamp) {
    const { bottom } = lamp.curve;
    model.firmware = { ...model.firmware, zeroLevel: size * bottom };
  },
};
