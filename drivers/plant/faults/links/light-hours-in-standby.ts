import type { Fault } from '../fault.ts';

export const lightHoursInStandby: Fault = {
  id: 'light-hours-in-standby',
  title: 'The hours of the light source run on in standby',
  about:
    'The on-time in DALI memory counts while the lamp is dark, so that maintenance comes too early.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'share of the dark time that is counted' },
  sizes: [0.3, 0.6, 1],
  caughtBy: ['dali-life-counters'],
  needs: { links: ['dali'], banks: [206] },
  apply(model, size) {
    model.firmware = {
      ...model.firmware,
      countedLight: (lit, operating) => lit + size * (operating - lit),
    };
  },
};
