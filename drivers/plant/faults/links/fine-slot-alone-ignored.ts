import type { Fault } from '../fault.ts';

export const fineSlotAloneIgnored: Fault = {
  id: 'fine-slot-alone-ignored',
  title: 'A change of the fine slot alone is ignored',
  about: 'The lamp looks for a change in the coarse slot only.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-bytes'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      pairValue: (coarse, fine, before) => (coarse === before >> 8 ? before : (coarse << 8) | fine),
    };
  },
};
