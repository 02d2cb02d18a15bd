import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';

export const powerOnLevelIgnored: Fault = {
  id: 'power-on-level-ignored',
  title: 'The power-on level is ignored',
  about: 'When the supply comes the lamp shows its last level, whatever the power-on level.',
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
        powerOnLevel: () => mask,
      },
    };
  },
};
