import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const powerCycleToldOn: Fault = {
  id: 'power-cycle-told-on',
  title: 'The lamp goes on telling that its power was gone',
  about: 'Bit 7 of the status stays 1 when a level has come.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-power-on-level', 'dali-answers-in-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        told: (code, byte, at) => {
          const right = gear.told(code, byte, at);
          return code === opcode.queryStatus && right !== null ? right | 0x80 : right;
        },
      },
    };
  },
};
