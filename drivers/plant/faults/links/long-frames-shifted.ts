import type { Fault } from '../fault.ts';

export const longFramesShifted: Fault = {
  id: 'long-frames-shifted',
  title: 'The end of 24-bit DALI frames is obeyed',
  about:
    'The lamp misses the first byte of frames for control devices and acts on the other 16 bits, as a receiver does that never resets.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-control-devices'],
  needs: { links: ['dali'] },
  apply(model) {
    model.firmware = { ...model.firmware, longFrame: (frame) => frame.slice(1) };
  },
};
