import type { Fault } from '../fault.ts';

export const priorityIgnored: Fault = {
  id: 'priority-ignored',
  title: 'The priority of a source is ignored',
  about: 'The last source to send wins, whatever its priority.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-priority'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, ignoresPriority: true };
  },
};
