import type { Fault } from '../fault.ts';

export const wrongClamp: Fault = {
  id: 'wrong-clamp',
  title: 'Levels are clamped to the wrong limits',
  about: 'DALI levels near MIN and MAX are held too far inside.',
  family: 'links',
  size: { nominal: 20, unit: '1', about: 'levels too far inside' },
  sizes: [2, 5, 20, 50],
  caughtBy: ['dali-clamps'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { daliClamp: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      daliClamp: (level, lowest, highest) => before(level, lowest + size, highest - size),
    };
  },
};
