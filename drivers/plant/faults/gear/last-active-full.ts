import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const lastActiveFull: Fault = {
  id: 'last-active-full',
  title: 'GO TO LAST ACTIVE LEVEL goes to MAX',
  about: 'What the lamp showed before it went off is forgotten.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-last-active'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        takesFor: (code, at) =>
          gear.takesFor(code === opcode.goToLastActive ? opcode.recallMax : code, at),
      },
    };
  },
};
