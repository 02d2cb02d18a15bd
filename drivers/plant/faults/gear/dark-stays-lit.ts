import type { Fault } from '../fault.ts';

export const darkStaysLit: Fault = {
  id: 'dark-stays-lit',
  title: 'A fade to dark ends at MIN',
  about: 'The light fades down to MIN and does not go off.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-fades-to-dark', 'dali-scenes-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        afterFadeToDark: (min) => min,
      },
    };
  },
};
