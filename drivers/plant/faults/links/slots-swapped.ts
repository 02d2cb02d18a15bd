import type { Fault } from '../fault.ts';

export const slotsSwapped: Fault = {
  id: 'slots-swapped',
  title: 'The fine slot comes first',
  about: 'The lamp reads the two slots of a value the wrong way round.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['slot-bytes'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model) {
    model.firmware = { ...model.firmware, pairValue: (coarse, fine) => (fine << 8) | coarse };
  },
};
