import type { Fault } from '../fault.ts';

export const locksOnFirstLink: Fault = {
  id: 'locks-on-first-link',
  title: 'The lamp listens to its first link alone',
  about:
    'Once a link has moved the light, commands of the others are ignored until the power is cycled.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['links-take-turns'],
  needs: { links: ['console', 'dali', 'dmx', 'sacn'] },
  apply(model) {
    model.firmware = { ...model.firmware, locksOnLink: true };
  },
};
