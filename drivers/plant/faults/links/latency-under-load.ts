import type { Fault } from '../fault.ts';

export const latencyUnderLoad: Fault = {
  id: 'latency-under-load',
  title: 'Commands act later when more of them are waiting',
  about: 'Queued commands are processed slowly.',
  family: 'links',
  size: { nominal: 0.1, unit: 's', about: 'pause for each waiting command' },
  sizes: [0.005, 0.02, 0.05, 0.1, 0.3],
  caughtBy: ['latency'],
  apply(model, size) {
    const { actsAfter: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      actsAfter: (index, waiting) => before(index, waiting) + size * (waiting + 1),
    };
  },
};
