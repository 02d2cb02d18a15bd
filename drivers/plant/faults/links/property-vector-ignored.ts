import type { Fault } from '../fault.ts';

export const propertyVectorIgnored: Fault = {
  id: 'property-vector-ignored',
  title: 'The network interface does not check the vector of the property layer',
  about:
    'Packets of other protocols that differ in the vector of the property layer alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, 'property-vector': 2 } };
  },
};
