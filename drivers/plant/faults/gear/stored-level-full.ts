import type { Fault } from '../fault.ts';

export const storedLevelFull: Fault = {
  id: 'stored-level-full',
  title: 'The level that is stored is not the one of now',
  about: 'STORE ACTUAL LEVEL IN DTR0 stores full light.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-stored-level'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        storedLevel: () => 254,
      },
    };
  },
};
