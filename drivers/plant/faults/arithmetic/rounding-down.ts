import type { Fault } from '../fault.ts';

export const roundingDown: Fault = {
  id: 'rounding-down',
  title: 'The product is truncated, not rounded',
  about:
    'Level times intensity loses everything below its last bit; dim channels are darker than asked for.',
  family: 'arithmetic',
  size: { nominal: 12, unit: '1', about: 'bits of the product' },
  sizes: [16, 14, 13, 12, 10],
  caughtBy: ['intensity-times-level'],
  apply(model, size) {
    const { product: before } = model.firmware;
    const steps = 2 ** size;
    model.firmware = {
      ...model.firmware,
      product: (level, intensity, channel) =>
        Math.floor(before(level, intensity, channel) * steps + 1e-9) / steps,
    };
  },
};
