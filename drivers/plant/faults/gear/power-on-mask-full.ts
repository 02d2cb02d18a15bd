import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';

export const powerOnMaskFull: Fault = {
  id: 'power-on-mask-full',
  title: 'A power-on level of MASK is full light',
  about: 'Where the last level should come back the lamp lights up at 254.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-power-on-level', 'recalls-level', 'dali-white-survives', 'supply-returns'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        powerOnLevel: (level) => (level === mask ? 254 : gear.powerOnLevel(level)),
      },
    };
  },
};
