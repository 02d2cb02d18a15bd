import type { Fault } from '../fault.ts';

export const lowestPriorityWins: Fault = {
  id: 'lowest-priority-wins',
  title: 'The lower priority wins',
  about: 'The network interface sorts priorities the wrong way round.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-takes-highest', 'sacn-priority'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, rank: (priority) => -priority };
  },
};
