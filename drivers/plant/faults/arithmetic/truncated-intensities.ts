import type { Fault } from '../fault.ts';

export const truncatedIntensities: Fault = {
  id: 'truncated-intensities',
  title: 'Intensities lose their low bits before the multiplication',
  about: 'Level and intensity are multiplied in whole steps; small intensities come out too dark.',
  family: 'arithmetic',
  size: { nominal: 5, unit: '1', about: 'bits that are left of the intensity' },
  sizes: [10, 8, 6, 5, 4],
  caughtBy: ['intensity-times-level'],
  apply(model, size) {
    const { product: before } = model.firmware;
    const steps = 2 ** size;
    model.firmware = {
      ...model.firmware,
      product: (level, intensity, channel) =>
        before(level, Math.floor(intensity * steps + 1e-9) / steps, channel),
    };
  },
};
