import type { Fault } from '../fault.ts';

export const sourceLostEarly: Fault = {
  id: 'source-lost-early',
  title: 'A slow source counts as lost',
  about:
    'The network interface gives a source up before its next packet may come: a lower one takes the light meanwhile.',
  family: 'links',
  size: { nominal: 0.5, unit: 's', about: 'time without packets until it is lost' },
  sizes: [2.45, 2, 1, 0.5],
  caughtBy: ['sacn-takeover'],
  needs: { links: ['sacn'] },
  apply(model, size) {
    model.links = { ...model.links, sourceLoss: size };
  },
};
