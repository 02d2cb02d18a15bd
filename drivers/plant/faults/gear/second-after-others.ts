import type { Fault } from '../fault.ts';

export const secondAfterOthers: Fault = {
  id: 'second-after-others',
  title: 'A configuration command counts with other frames between',
  about: 'A frame that comes between the two does not make the first one void.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-twice-in-a-row'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        waitsForSecond: true,
      },
    };
  },
};
