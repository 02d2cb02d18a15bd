import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const onAndStepUpFull: Fault = {
  id: 'on-and-step-up-full',
  title: 'ON AND STEP UP lights up at MAX',
  about: 'A dark lamp does not begin at MIN.',
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
          code === opcode.onAndStepUp && at.actual === 0
            ? opcode.recallMax
            : gear.takesFor(code, at),
      },
    };
  },
};
