import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const stepDownNeverOff: Fault = {
  id: 'step-down-never-off',
  title: 'STEP DOWN AND OFF does not switch off',
  about: 'At MIN the light stays at MIN.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-steps'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        takesFor: (code, at) =>
          gear.takesFor(code === opcode.stepDownAndOff ? opcode.stepDown : code, at),
      },
    };
  },
};
