import { fadeTimeOf } from '../../../dali/levels.ts';
import type { Fault } from '../fault.ts';

export const recallsFade: Fault = {
  id: 'recalls-fade',
  title: 'RECALL MAX and RECALL MIN fade',
  about: 'They take the fade time, which they should ignore.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-steps'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        recallSeconds: fadeTimeOf,
      },
    };
  },
};
