import type { Fault } from '../fault.ts';

export const addressTypeIgnored: Fault = {
  id: 'address-type-ignored',
  title: 'The network interface does not check the type of address and data',
  about:
    'Packets of other protocols that differ in the type of address and data alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, 'address-type': 0xa1 } };
  },
};
