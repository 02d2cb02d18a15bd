import type { Fault } from '../fault.ts';

export const slotOneIsDark: Fault = {
  id: 'slot-one-is-dark',
  title: 'The lowest level of a slot is dark',
  about: 'Value 1, the bottom of the curve, is taken for off.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-range'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    const { pairValue: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      pairValue: (...bytes) => (before(...bytes) <= 1 ? 0 : before(...bytes)),
    };
  },
};
