import type { Fault } from '../fault.ts';

export const discoveryTaken: Fault = {
  id: 'discovery-taken',
  title: 'Lists of universes reach the light',
  about:
    'The network interface looks at the identifier of a packet, not at its vectors: universe discovery counts as levels.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-discovery'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, takesDiscovery: true };
  },
};
