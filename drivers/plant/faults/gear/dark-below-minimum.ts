import type { Fault } from '../fault.ts';

export const darkBelowMinimum: Fault = {
  id: 'dark-below-minimum',
  title: 'Fades to and from dark pass below MIN',
  about: 'A dark end counts as the bottom of the curve, not as MIN.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-fades-to-dark'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        darkEnd: () => 1,
      },
    };
  },
};
