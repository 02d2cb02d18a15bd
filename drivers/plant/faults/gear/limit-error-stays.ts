import type { Fault } from '../fault.ts';

export const limitErrorStays: Fault = {
  id: 'limit-error-stays',
  title: 'The limit error stays',
  about: 'A level within the limits does not end the limit error.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-limits-in-light', 'dali-clamps'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        limitError: (before, now) => before || now,
      },
    };
  },
};
