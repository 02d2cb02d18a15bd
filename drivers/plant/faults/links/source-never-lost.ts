import type { Fault } from '../fault.ts';

export const sourceNeverLost: Fault = {
  id: 'source-never-lost',
  title: 'A source that falls silent keeps the light',
  about:
    'The network interface waits too long for a source that sends no more: nobody else can have the light.',
  family: 'links',
  size: { nominal: 16, unit: 's', about: 'time without packets until it is lost' },
  sizes: [2.55, 3, 6, 16],
  caughtBy: ['sacn-takeover'],
  needs: { links: ['sacn'] },
  apply(model, size) {
    model.links = { ...model.links, sourceLoss: size };
  },
};
