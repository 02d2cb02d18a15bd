import type { Fault } from '../fault.ts';

export const longFramesTaken: Fault = {
  id: 'long-frames-taken',
  title: '24 bit DALI frames are obeyed',
  about: 'Frames for control devices are taken by their first 16 bits.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-noise'],
  needs: { links: ['dali'] },
  apply(model) {
    model.firmware = { ...model.firmware, takesLongFrames: true };
  },
};
