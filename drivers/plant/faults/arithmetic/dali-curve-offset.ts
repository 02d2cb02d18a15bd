import type { Fault } from '../fault.ts';

export const daliCurveOffset: Fault = {
  id: 'dali-curve-offset',
  title: 'The dimming curve of DALI levels is shifted',
  about: 'Every level gives the light of a neighbour, 2.8 % a step.',
  family: 'arithmetic',
  size: { nominal: 4, unit: '1', about: 'levels too far' },
  sizes: [1, 2, 4, 10],
  caughtBy: ['dali-levels'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { daliLight: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      daliLight: (level) => Math.min(1, before(level + size)),
    };
  },
};
