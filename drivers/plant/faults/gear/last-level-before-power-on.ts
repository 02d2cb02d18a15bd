import type { Fault } from '../fault.ts';

export const lastLevelBeforePowerOn: Fault = {
  id: 'last-level-before-power-on',
  title: 'The last level flashes up before the power-on level',
  about: 'From the start-up time until the power-on level comes the lamp shows its last level.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-power-on-level', 'dali-settings-survive'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        showsLastLevelFirst: true,
      },
    };
  },
};
