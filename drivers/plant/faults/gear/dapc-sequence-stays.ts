import type { Fault } from '../fault.ts';

export const dapcSequenceStays: Fault = {
  id: 'dapc-sequence-stays',
  title: 'A DAPC sequence goes on',
  about: 'Levels that come long after the last one of a sequence still take 200 ms.',
  family: 'gear',
  size: { nominal: 2, unit: 's', about: 'time for which it waits for its next level' },
  sizes: [0.3, 2, 60],
  caughtBy: ['dali-dapc-sequence'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        sequenceWait: size,
      },
    };
  },
};
