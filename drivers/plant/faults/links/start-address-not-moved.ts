import type { Fault } from '../fault.ts';

export const startAddressNotMoved: Fault = {
  id: 'start-address-not-moved',
  title: 'A new start address is told, and not used',
  about:
    'RDM sets the address that the lamp tells; its receiver goes on with the old one until it restarts.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['rdm-start-address'],
  needs: { links: ['dmx'], rdm: true },
  apply(model) {
    model.firmware = { ...model.firmware, movesSlots: false };
  },
};
