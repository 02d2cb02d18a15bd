import type { Fault } from '../fault.ts';

export const networkStartCodesTaken: Fault = {
  id: 'network-start-codes-taken',
  title: 'Other start codes act on the light over the network',
  about: 'The network interface hands on slots behind any start code as levels.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-other-start-codes'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, takesStartCode: () => true };
  },
};
