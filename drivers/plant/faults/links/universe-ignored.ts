import type { Fault } from '../fault.ts';

export const universeIgnored: Fault = {
  id: 'universe-ignored',
  title: 'Packets of another universe count',
  about:
    'The network interface does not look at the universe of a packet: a neighbour on the same network moves the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-other-universe'],
  needs: { links: ['sacn'] },
  apply(model, _size, lamp) {
    const { universe = 1 } = lamp.links.sacn ?? {};
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, universe } };
  },
};
