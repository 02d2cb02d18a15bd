import type { Fault } from '../fault.ts';

export const offAtOnce: Fault = {
  id: 'off-at-once',
  title: 'A fade to dark does not fade',
  about: 'Level 0 switches off at once, whatever the fade time.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-fades-to-dark', 'dali-scenes-fade', 'dali-answers-in-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        fadeOver: (order) => (order.to === 0 ? 0 : gear.fadeOver(order)),
      },
    };
  },
};
