import type { Fault } from '../fault.ts';

export const swappedPrimaries: Fault = {
  id: 'swapped-primaries',
  title: 'Two primaries of DALI drive one another’s channel',
  about:
    'Levels for the first two primaries (device type 8) arrive crossed; every other link is right.',
  family: 'colour',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-primaries'],
  needs: { links: ['dali'], channels: 2, primaries: true },
  apply(model) {
    const crossed = new Map([
      [0, 1],
      [1, 0],
    ]);
    model.firmware = { ...model.firmware, primary: (number) => crossed.get(number) ?? number };
  },
};
