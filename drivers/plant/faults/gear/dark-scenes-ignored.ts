import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const darkScenesIgnored: Fault = {
  id: 'dark-scenes-ignored',
  title: 'A scene of level 0 does nothing',
  about: 'The dark level is taken for a scene that was not stored.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-scenes-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        takesFor: (code, at) =>
          (code & 0xf0) === opcode.goToScene && at.registers.scenes[code & 0x0f] === 0
            ? null
            : gear.takesFor(code, at),
      },
    };
  },
};
