import type { Fault } from '../fault.ts';

export const sequenceKeptAfterEnd: Fault = {
  id: 'sequence-kept-after-end',
  title: 'A source that ended cannot begin again',
  about: 'The number of its last packet is remembered: a console that restarts is not heard.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-source-returns'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, remembersEnded: true };
  },
};
