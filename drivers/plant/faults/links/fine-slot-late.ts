import type { Fault } from '../fault.ts';

export const fineSlotLate: Fault = {
  id: 'fine-slot-late',
  title: 'The fine slot is that of the frame before',
  about:
    'Coarse and fine slots are taken at different times: where the fine one wraps, the light jumps.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-bytes'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      pairValue: (coarse, _, before) => (coarse << 8) | (before & 0xff),
    };
  },
};
