import type { Fault } from '../fault.ts';

export const limitsInAnswersOnly: Fault = {
  id: 'limits-in-answers-only',
  title: 'MAX and MIN are told and not kept',
  about:
    'The lamp answers with the level that it was held at, and shines with the one that it was told.',
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
        litLevel: (wanted) => wanted,
      },
    };
  },
};
