import type { Fault } from '../fault.ts';

export const addressIncrementIgnored: Fault = {
  id: 'address-increment-ignored',
  title: 'The network interface does not check the address increment',
  about: 'Packets of other protocols that differ in the address increment alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, 'address-increment': 1 } };
  },
};
