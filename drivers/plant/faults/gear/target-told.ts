import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const targetTold: Fault = {
  id: 'target-told',
  title: 'The target is told for the actual level',
  about: 'In the middle of a fade QUERY ACTUAL LEVEL is answered with its end.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-answers-in-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        told: (code, byte, at) =>
          code === opcode.queryActualLevel ? (at.ordered ?? byte) : gear.told(code, byte, at),
      },
    };
  },
};
