import type { Fault } from '../fault.ts';

export const slotTopWraps: Fault = {
  id: 'slot-top-wraps',
  title: 'The highest value of a slot wraps round',
  about: 'A rounding behind the two slots of a value makes 0 of 65535.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-range', 'slot-levels'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    const { pairValue: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      pairValue: (...bytes) => (before(...bytes) + 1 > 0xffff ? 0 : before(...bytes)),
    };
  },
};
