import type { Fault } from '../fault.ts';

export const fadeFromDarkJumps: Fault = {
  id: 'fade-from-dark-jumps',
  title: 'A fade from dark does not fade',
  about: 'A dark lamp lights up at once at its new level.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-fades-to-dark', 'dali-scenes-fade', 'dali-answers-in-fade', 'dali-last-active'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        fadeOver: (order) => (order.from === 0 ? 0 : gear.fadeOver(order)),
      },
    };
  },
};
