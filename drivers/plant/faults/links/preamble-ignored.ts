import type { Fault } from '../fault.ts';

export const preambleIgnored: Fault = {
  id: 'preamble-ignored',
  title: 'The network interface does not check the preamble',
  about: 'Packets of other protocols that differ in the preamble alone act on the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-wrong-head'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, blindTo: { ...model.links.blindTo, preamble: 0x0010 } };
  },
};
