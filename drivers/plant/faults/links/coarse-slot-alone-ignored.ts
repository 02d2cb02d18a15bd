import type { Fault } from '../fault.ts';

export const coarseSlotAloneIgnored: Fault = {
  id: 'coarse-slot-alone-ignored',
  title: 'A change of the coarse slot alone is ignored',
  about: 'The lamp takes a value over when its fine slot changes, and only then.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-bytes'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      pairValue: (coarse, fine, before) =>
        fine === (before & 0xff) ? before : (coarse << 8) | fine,
    };
  },
};
