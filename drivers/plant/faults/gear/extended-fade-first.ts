import { extendedFadeSeconds } from '../../firmware/gear-registers.ts';
import type { Fault } from '../fault.ts';

export const extendedFadeFirst: Fault = {
  id: 'extended-fade-first',
  title: 'The extended fade time goes before the fade time',
  about: 'A fade time counts only where no extended one is set.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-extended-fade-times'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        fadeSeconds: (registers, seconds) =>
          extendedFadeSeconds(registers.extendedFadeTime) || gear.fadeSeconds(registers, seconds),
      },
    };
  },
};
