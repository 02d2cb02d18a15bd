import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const stepDownGoesOff: Fault = {
  id: 'step-down-goes-off',
  title: 'STEP DOWN switches off at MIN',
  about: 'Below MIN STEP DOWN does not stay at MIN.',
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
          gear.takesFor(code === opcode.stepDown ? opcode.stepDownAndOff : code, at),
      },
    };
  },
};
