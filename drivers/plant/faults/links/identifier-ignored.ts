import type { Fault } from '../fault.ts';

export const identifierIgnored: Fault = {
  id: 'identifier-ignored',
  title: 'The network interface does not check the packet identifier',
  about: 'Packets of other protocols that differ in the packet identifier alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, identifier: 0x4153432d } };
  },
};
