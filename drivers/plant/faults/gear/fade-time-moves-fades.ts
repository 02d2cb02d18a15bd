import type { Fault } from '../fault.ts';

export const fadeTimeMovesFades: Fault = {
  id: 'fade-time-moves-fades',
  title: 'A changed fade time moves a running fade',
  about: 'The fade that runs begins anew with the new time.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-fade-time-in-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        retimesFades: true,
      },
    };
  },
};
