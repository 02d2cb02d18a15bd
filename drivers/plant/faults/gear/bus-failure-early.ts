import type { Fault } from '../fault.ts';

export const busFailureEarly: Fault = {
  id: 'bus-failure-early',
  title: 'A short gap of the bus counts as its failure',
  about: 'The system failure level comes before 450 ms are over.',
  family: 'gear',
  size: { nominal: 0.2, unit: 's', about: 'time without power after which the bus has failed' },
  sizes: [0.4, 0.2, 0.05],
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
