import type { Fault } from '../fault.ts';

export const productOverflow: Fault = {
  id: 'product-overflow',
  title: 'Level times intensity overflows',
  about: 'Bright products lose their top bit and come out dark.',
  family: 'arithmetic',
  size: { nominal: 0.5, unit: '1', about: 'part of the range that overflows' },
  sizes: [0.02, 0.1, 0.5],
  caughtBy: ['follows-curve'],
  apply(model, size) {
    const { product: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      product: (level, intensity, channel) => {
        const product = before(level, intensity, channel);
        return product > 1 - size ? product - (1 - size) : product;
      },
    };
  },
};
