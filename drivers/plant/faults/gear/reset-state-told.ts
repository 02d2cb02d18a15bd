import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const resetStateTold: Fault = {
  id: 'reset-state-told',
  title: 'The lamp says that it is as from the factory',
  about: 'QUERY RESET STATE is answered with YES, whatever was set.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-power-on-level'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        told: (code, byte, at) =>
          code === opcode.queryResetState ? 0xff : gear.told(code, byte, at),
      },
    };
  },
};
