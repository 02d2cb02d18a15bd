import type { Fault } from '../fault.ts';

export const runTooLong: Fault = {
  id: 'run-too-long',
  title: 'UP and DOWN run too long',
  about: 'They run for longer than 200 ms.',
  family: 'gear',
  size: { nominal: 0.3, unit: 's', about: 'time for which they run' },
  sizes: [0.21, 0.3, 0.5],
  caughtBy: ['dali-fade-rates'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        runTime: size,
      },
    };
  },
};
