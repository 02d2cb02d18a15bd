import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const fadeNotTold: Fault = {
  id: 'fade-not-told',
  title: 'The status does not tell of a fade',
  about: 'Bit 4 of the status stays 0 while a fade runs.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-answers-in-fade', 'dali-scenes-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        told: (code, byte, at) => {
          const right = gear.told(code, byte, at);
          return code === opcode.queryStatus && right !== null ? right & ~0x10 : right;
        },
      },
    };
  },
};
