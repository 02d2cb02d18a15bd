import type { Fault } from '../fault.ts';

export const lostSyncFreezes: Fault = {
  id: 'lost-sync-freezes',
  title: 'Light stands still for good when synchronisation is lost',
  about:
    'Packets that say "go on without" (force synchronisation) wait on, although nobody synchronises any more.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sync-lost'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, neverLosesSync: true };
  },
};
