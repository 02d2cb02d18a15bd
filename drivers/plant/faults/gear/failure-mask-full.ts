import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';

export const failureMaskFull: Fault = {
  id: 'failure-mask-full',
  title: 'A system failure level of MASK is full light',
  about: 'Where the light should stay as it is it goes to 254.',
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
        failureLevel: (level) => (level === mask ? 254 : gear.failureLevel(level)),
      },
    };
  },
};
