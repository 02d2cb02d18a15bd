import type { Fault } from '../fault.ts';

export const sameLevelIgnored: Fault = {
  id: 'same-level-ignored',
  title: 'A level that came before does nothing',
  about:
    'Only another level than the last one of DALI acts, also where the console has moved the light since.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['links-take-over'],
  needs: { links: ['dali', 'console'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        ignoresSameLevel: true,
      },
    };
  },
};
