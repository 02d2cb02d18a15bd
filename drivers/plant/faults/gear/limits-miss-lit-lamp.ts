import type { Fault } from '../fault.ts';

export const limitsMissLitLamp: Fault = {
  id: 'limits-miss-lit-lamp',
  title: 'New limits do not move the light',
  about: 'A light beyond a new MAX or MIN stays where it is until the next level.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-limits-in-light'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        limitsMoveLight: false,
      },
    };
  },
};
