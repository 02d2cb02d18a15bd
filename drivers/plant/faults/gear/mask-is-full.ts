import type { Fault } from '../fault.ts';

export const maskIsFull: Fault = {
  id: 'mask-is-full',
  title: 'MASK as a level is taken for full light',
  about: 'The level 255 is held at MAX and gone to.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-mask'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        maskLevel: 'full',
      },
    };
  },
};
