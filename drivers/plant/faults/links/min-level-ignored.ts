import type { Fault } from '../fault.ts';

export const minLevelIgnored: Fault = {
  id: 'min-level-ignored',
  title: 'MIN LEVEL is ignored',
  about: 'A DALI level below MIN is not raised to it.',
  family: 'links',
  size: { nominal: 254, unit: '1', about: 'levels below MIN that pass' },
  sizes: [10, 50, 254],
  caughtBy: ['dali-clamps'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { daliClamp: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      daliClamp: (level, lowest, highest) => before(level, Math.max(1, lowest - size), highest),
    };
  },
};
