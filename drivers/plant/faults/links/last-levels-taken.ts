import type { Fault } from '../fault.ts';

export const lastLevelsTaken: Fault = {
  id: 'last-levels-taken',
  title: 'The levels of the last packet act on the light',
  about: 'Levels in a packet that ends a stream, which have to be ignored, show for good.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-last-levels'],
  needs: { links: ['sacn'], 'on-loss': 'hold' },
  apply(model) {
    model.links = { ...model.links, takesLastLevels: true };
  },
};
