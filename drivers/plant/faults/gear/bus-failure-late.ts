import type { Fault } from '../fault.ts';

export const busFailureLate: Fault = {
  id: 'bus-failure-late',
  title: 'A failed bus is noticed late',
  about: 'The system failure level comes later than 550 ms after the bus lost its power.',
  family: 'gear',
  size: { nominal: 1, unit: 's', about: 'time without power after which the bus has failed' },
  sizes: [0.7, 1, 10],
  caughtBy: ['dali-system-failure-level'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        busFailure: size,
      },
    };
  },
};
