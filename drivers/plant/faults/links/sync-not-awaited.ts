import type { Fault } from '../fault.ts';

export const syncNotAwaited: Fault = {
  id: 'sync-not-awaited',
  title: 'Synchronised sACN acts at once',
  about:
    'The network interface does not wait for the synchronisation packet, so that lamps of one picture change one after another.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sync'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, ignoresSync: true };
  },
};
