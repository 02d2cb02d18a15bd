import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const stepUpLightsDark: Fault = {
  id: 'step-up-lights-dark',
  title: 'STEP UP lights a dark lamp',
  about: 'STEP UP switches a dark lamp on at MIN.',
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
          code === opcode.stepUp && at.actual === 0 ? opcode.onAndStepUp : gear.takesFor(code, at),
      },
    };
  },
};
