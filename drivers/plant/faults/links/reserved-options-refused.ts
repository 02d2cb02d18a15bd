import type { Fault } from '../fault.ts';

export const reservedOptionsRefused: Fault = {
  id: 'reserved-options-refused',
  title: 'Packets with reserved options are dropped',
  about:
    'Options that the standard keeps for later have to be ignored; the lamp ignores the packet instead.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-reserved-options'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, refusesReservedOptions: true };
  },
};
