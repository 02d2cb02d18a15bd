import type { Fault } from '../fault.ts';

export const commandLatency: Fault = {
  id: 'command-latency',
  title: 'Commands act late',
  about: 'There is a pause between the last byte of a command and the light.',
  family: 'links',
  size: { nominal: 0.15, unit: 's', about: 'pause' },
  sizes: [0.01, 0.03, 0.06, 0.15, 0.5],
  caughtBy: ['latency', 'at-once', 'smooth-start-and-stop'],
  apply(model, size) {
    const { actsAfter: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      actsAfter: (index, waiting) => before(index, waiting) + size,
    };
  },
};
