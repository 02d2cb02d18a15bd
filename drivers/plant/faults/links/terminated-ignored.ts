import type { Fault } from '../fault.ts';

export const terminatedIgnored: Fault = {
  id: 'terminated-ignored',
  title: 'The end of a stream is ignored',
  about: 'A source that has ended its stream controls the light until it times out.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-terminated'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, ignoresTerminated: true };
  },
};
