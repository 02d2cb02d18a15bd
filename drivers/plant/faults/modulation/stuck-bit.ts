import type { Fault } from '../fault.ts';

export const stuckBit: Fault = {
  id: 'stuck-bit',
  title: 'A bit of the drive register is stuck at zero',
  about:
    'One line between the processor and the modulator is broken: every code with that bit comes out too low.',
  family: 'modulation',
  size: { nominal: 12, unit: '1', about: 'number of the bit, of 16' },
  sizes: [4, 8, 10, 12, 14],
  caughtBy: ['follows-curve', 'monotone'],
  apply(model, size) {
    model.modulator.register = (value, full) => {
      const bit = Math.round((full / 2 ** 16) * 2 ** size);
      const code = Math.round(value);
      return Math.floor(code / bit) % 2 === 1 ? code - bit : code;
    };
  },
};
