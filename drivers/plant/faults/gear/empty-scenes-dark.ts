import { mask } from '../../../dali/frame.ts';
import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const emptyScenesDark: Fault = {
  id: 'empty-scenes-dark',
  title: 'A scene without content is dark',
  about: 'GO TO SCENE for a scene that was never stored, or was removed, switches the lamp off.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-scenes-fade', 'dali-mask', 'dali-scenes'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        takesFor: (code, at) =>
          (code & 0xf0) === opcode.goToScene && at.registers.scenes[code & 0x0f] === mask
            ? opcode.off
            : gear.takesFor(code, at),
      },
    };
  },
};
