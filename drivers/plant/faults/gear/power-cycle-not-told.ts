import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const powerCycleNotTold: Fault = {
  id: 'power-cycle-not-told',
  title: 'The lamp does not tell that its power was gone',
  about: 'QUERY POWER FAILURE is never answered with YES.',
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
          code === opcode.queryPowerFailure ? null : gear.told(code, byte, at),
      },
    };
  },
};
