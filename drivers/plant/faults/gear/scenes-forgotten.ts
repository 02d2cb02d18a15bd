import type { Fault } from '../fault.ts';

export const scenesForgotten: Fault = {
  id: 'scenes-forgotten',
  title: 'Scenes are lost with the power',
  about: 'After a power cycle no scene is stored.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        kept: (registers, factory) => ({
          ...gear.kept(registers, factory),
          scenes: factory.scenes,
        }),
      },
    };
  },
};
