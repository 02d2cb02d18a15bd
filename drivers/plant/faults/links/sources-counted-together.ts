import type { Fault } from '../fault.ts';

export const sourcesCountedTogether: Fault = {
  id: 'sources-counted-together',
  title: 'All sources share one sequence count',
  about: 'Packets of a second source are dropped as late, since the first one is ahead.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sources-apart'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, countsSourcesTogether: true };
  },
};
