import type { Fault } from '../fault.ts';

export const slowBoot: Fault = {
  id: 'slow-boot',
  title: 'The processor boots slowly',
  about:
    'A bootloader looks at the whole image first: until it is through, nothing lights and nothing listens.',
  family: 'timing',
  size: { nominal: 1, unit: 's', about: 'time from power to the first instruction' },
  sizes: [0.001, 0.3, 1, 3],
  caughtBy: ['comes-on-cleanly', 'recalls-level'],
  apply(model, size) {
    model.processor.boot = size;
  },
};
