import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const fadeToldTooLong: Fault = {
  id: 'fade-told-too-long',
  title: 'The status tells of a fade that is over',
  about: 'Bit 4 of the status stays 1 until the next level comes.',
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
        told: (code, byte, at) => {
          const right = gear.told(code, byte, at);
          const lasts = code === opcode.queryStatus && at.faded;
          return lasts && right !== null ? right | 0x10 : right;
        },
      },
    };
  },
};
