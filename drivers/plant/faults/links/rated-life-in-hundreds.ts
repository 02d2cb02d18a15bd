import type { Fault } from '../fault.ts';

export const ratedLifeInHundreds: Fault = {
  id: 'rated-life-in-hundreds',
  title: 'Rated life stands in memory in hundreds of hours',
  about:
    'DALI memory bank 207 holds the life in thousands of hours (IEC 62386-253, from memory); the firmware writes hundreds, so that the lamp seems to last ten times as long.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-rated-life'],
  needs: { links: ['dali'], banks: [207] },
  apply(model) {
    const { bankValue: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      bankValue: (property, value) =>
        property === 'rated-life' ? Math.min(255, 10 * value) : before(property, value),
    };
  },
};
