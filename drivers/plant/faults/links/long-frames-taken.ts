import type { Fault } from '../fault.ts';

export const longFramesTaken: Fault = {
  id: 'long-frames-taken',
  title: '24-bit DALI frames are obeyed',
  about: 'The lamp acts on the first 16 bits of frames for control devices.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-noise', 'dali-control-devices'],
  needs: { links: ['dali'] },
  apply(model) {
    model.firmware = { ...model.firmware, longFrame: (frame) => frame.slice(0, 2) };
  },
};
