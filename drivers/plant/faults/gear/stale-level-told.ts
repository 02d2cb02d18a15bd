import type { Fault } from '../fault.ts';

export const staleLevelTold: Fault = {
  id: 'stale-level-told',
  title: 'The level that DALI set last is told',
  about: 'QUERY ACTUAL LEVEL does not know that another link has moved the light.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['links-take-over', 'dali-after-dmx'],
  needs: { links: ['dali', 'console'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        notesOtherLinks: false,
      },
    };
  },
};
