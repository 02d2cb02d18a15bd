import type { Fault } from '../fault.ts';

export const fadeTableOffset: Fault = {
  id: 'fade-table-offset',
  title: 'The fade-time table is read off by one',
  about: 'Every DALI fade takes the time of a neighbouring code: 1.41 times too long.',
  family: 'arithmetic',
  size: { nominal: 1, unit: '1', about: 'codes too far' },
  sizes: [1, 2],
  caughtBy: ['dali-fade-times', 'longest-fades'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { daliFadeTime: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      daliFadeTime: (code) => before(code + size),
    };
  },
};
