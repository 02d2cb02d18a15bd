import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const sceneNumberCut: Fault = {
  id: 'scene-number-cut',
  title: 'Scenes from 8 on are mistaken',
  about: 'The number of a scene is read from three bits: scene 8 gives scene 0.',
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
          gear.takesFor((code & 0xf0) === opcode.goToScene ? code & 0xf7 : code, at),
      },
    };
  },
};
