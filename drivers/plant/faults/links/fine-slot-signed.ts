import type { Fault } from '../fault.ts';

export const fineSlotSigned: Fault = {
  id: 'fine-slot-signed',
  title: 'The fine slot is taken for a signed number',
  about: 'From 128 on the fine slot takes away instead of adding.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-bytes'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      pairValue: (coarse, fine) => Math.max(0, (coarse << 8) + fine - (fine > 127 ? 256 : 0)),
    };
  },
};
