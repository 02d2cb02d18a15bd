import type { Fault } from '../fault.ts';

export const scenesJump: Fault = {
  id: 'scenes-jump',
  title: 'Scenes come without their fade',
  about: 'GO TO SCENE ignores the fade time.',
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
        sceneSeconds: () => 0,
      },
    };
  },
};
