import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';

export const failureLevelIgnored: Fault = {
  id: 'failure-level-ignored',
  title: 'The system failure level is ignored',
  about: 'Without its bus the lamp goes on as it was.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-system-failure-level'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        failureLevel: () => mask,
      },
    };
  },
};
