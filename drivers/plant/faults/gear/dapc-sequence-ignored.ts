import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const dapcSequenceIgnored: Fault = {
  id: 'dapc-sequence-ignored',
  title: 'A DAPC sequence takes the fade time',
  about: 'ENABLE DAPC SEQUENCE does nothing: each level begins a fade of its own.',
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
        takesFor: (code, at) =>
          code === opcode.enableDapcSequence ? null : gear.takesFor(code, at),
      },
    };
  },
};
