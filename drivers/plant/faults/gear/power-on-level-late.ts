import type { Fault } from '../fault.ts';

export const powerOnLevelLate: Fault = {
  id: 'power-on-level-late',
  title: 'The power-on level comes late',
  about: 'The lamp waits for commands longer than it should before it lights up.',
  family: 'gear',
  size: { nominal: 1.5, unit: 's', about: 'time from power to the power-on level' },
  sizes: [0.7, 0.8, 1.5],
  caughtBy: ['dali-power-on-level', 'dali-settings-survive'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        powerOnWait: size,
      },
    };
  },
};
