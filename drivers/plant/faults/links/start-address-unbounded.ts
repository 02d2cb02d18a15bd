import type { Fault } from '../fault.ts';

export const startAddressUnbounded: Fault = {
  id: 'start-address-unbounded',
  title: 'Any start address is taken by RDM',
  about:
    'The lamp does not hold a start address against the 512 slots that there are, and listens where nothing can come.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['rdm-refuses'],
  needs: { links: ['dmx'], rdm: true },
  apply(model) {
    model.firmware = { ...model.firmware, highestStartAddress: () => 65_535 };
  },
};
