import type { Fault } from '../fault.ts';

export const memorySlow: Fault = {
  id: 'memory-slow',
  title: 'Non-volatile memory takes long to be written',
  about:
    'Byte after byte gets into its cell; a power cut meanwhile leaves half of what was to be kept.',
  family: 'links',
  size: { nominal: 0.3, unit: 's', about: 'time that a byte takes' },
  sizes: [1e-5, 0.003, 0.03, 0.3],
  caughtBy: ['recalls-level'],
  apply(model, size) {
    model.memory.writeTime = size;
  },
};
