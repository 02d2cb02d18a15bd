import type { Fault } from '../fault.ts';

export const darkAfterReturn: Fault = {
  id: 'dark-after-return',
  title: 'The lamp does not come back with its signal',
  about:
    'Once its DMX or sACN signal was lost, the lamp takes no more slots until its power is cycled.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['signal-returns'],
  needs: { links: ['dmx'] },
  apply(model) {
    model.firmware = { ...model.firmware, resumesAfterLoss: false };
  },
};
