import type { Fault } from '../fault.ts';

export const sequenceIgnored: Fault = {
  id: 'sequence-ignored',
  title: 'Packets out of order act on the light',
  about: 'A packet that was overtaken on the network brings old levels back.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sequence'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, ignoresSequence: true };
  },
};
