import type { Fault } from '../fault.ts';

/** s after the start in which the outputs float. */
const lasts = 0.01;

export const powerOnFlash: Fault = {
  id: 'power-on-flash',
  title: 'A flash at power-on',
  about: 'Until the firmware takes hold of them, 10 ms after the start, the outputs are on.',
  family: 'supply',
  size: { nominal: 0.1, unit: '1', about: 'relative light of the flash' },
  sizes: [0.001, 0.005, 0.1, 0.5],
  caughtBy: ['no-flash-with-supply', 'dark-when-off'],
  apply(model, size) {
    model.firmware = { ...model.firmware, whileStarting: (age) => (age < lasts ? size : 0) };
  },
};
