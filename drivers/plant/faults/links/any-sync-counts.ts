import type { Fault } from '../fault.ts';

export const anySyncCounts: Fault = {
  id: 'any-sync-counts',
  title: 'A synchronisation packet of any address releases the light',
  about:
    'The network interface does not compare addresses: what waits for one show is released by another.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sync'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, takesAnySync: true };
  },
};
