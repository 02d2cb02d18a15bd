import type { Fault } from '../fault.ts';

export const darkCutShort: Fault = {
  id: 'dark-cut-short',
  title: 'A fade to dark is cut short',
  about: 'The light goes off before the fade time is over.',
  family: 'gear',
  size: { nominal: 0.7, unit: '1', about: 'part of the fade time' },
  sizes: [0.95, 0.7, 0.3],
  caughtBy: ['dali-fades-to-dark'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        fadeOver: (order) => gear.fadeOver(order) * (order.to === 0 ? size : 1),
      },
    };
  },
};
