import type { Fault } from '../fault.ts';

export const endOfOneEndsAll: Fault = {
  id: 'end-of-one-ends-all',
  title: 'The end of one source ends them all',
  about: 'When a source says that it ends, the network interface forgets the others, too.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-other-source-ends'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, endsTogether: true };
  },
};
