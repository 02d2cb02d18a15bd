import type { Fault } from '../fault.ts';

export const packetHeadIgnored: Fault = {
  id: 'packet-head-ignored',
  title: 'Any datagram counts as sACN',
  about:
    'The network interface does not check the packet header: whatever arrives at its port changes the light.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-noise'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, ignoresHead: true };
  },
};
