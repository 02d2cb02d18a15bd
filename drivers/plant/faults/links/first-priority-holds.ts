import type { Fault } from '../fault.ts';

export const firstPriorityHolds: Fault = {
  id: 'first-priority-holds',
  title: 'A changed priority is ignored',
  about: 'The priority of the first packet of a source holds for all that follow.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-priority-changes'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, firstPriorityHolds: true };
  },
};
