import type { Fault } from '../fault.ts';

export const wrongBin: Fault = {
  id: 'wrong-bin',
  title: 'Wrong LED bin on one channel',
  about: 'The first channel was populated from another chromaticity bin.',
  family: 'colour',
  size: { nominal: 0.02, unit: '1', about: 'shift of x, CIE 1931' },
  sizes: [0.002, 0.006, 0.012, 0.018, 0.02, 0.04],
  caughtBy: ['target-chromaticity'],
  apply(model, size) {
    const [first] = model.channels;
    if (first) first.emitter.xy = [first.emitter.xy[0] + size, first.emitter.xy[1]];
  },
};
