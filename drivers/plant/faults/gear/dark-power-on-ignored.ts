import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';

export const darkPowerOnIgnored: Fault = {
  id: 'dark-power-on-ignored',
  title: 'A power-on level of 0 is ignored',
  about: 'A lamp that should stay dark when the supply comes shows its last level.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-power-on-level'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        powerOnLevel: (level) => (level === 0 ? mask : gear.powerOnLevel(level)),
      },
    };
  },
};
