import type { Fault } from '../fault.ts';

export const firstAddressIgnored: Fault = {
  id: 'first-address-ignored',
  title: 'The network interface does not check the first property address',
  about:
    'Packets of other protocols that differ in the first property address alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, 'first-address': 0 } };
  },
};
