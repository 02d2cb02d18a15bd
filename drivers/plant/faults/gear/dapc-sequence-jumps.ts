import type { Fault } from '../fault.ts';

export const dapcSequenceJumps: Fault = {
  id: 'dapc-sequence-jumps',
  title: 'Levels of a DAPC sequence jump',
  about: 'Each level of a sequence is there at once.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-dapc-sequence'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        sequenceFade: 0,
      },
    };
  },
};
