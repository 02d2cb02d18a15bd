import type { Fault } from '../fault.ts';

export const weakChannel: Fault = {
  id: 'weak-channel',
  title: 'LEDs of one channel are weak',
  about:
    "Part of the first channel's string is shorted: right current, too little light, and the mix is off.",
  family: 'colour',
  size: { nominal: 0.25, unit: '1', about: 'relative loss of light' },
  sizes: [0.03, 0.1, 0.2, 0.25, 0.5],
  caughtBy: ['target-chromaticity'],
  needs: { channels: 2 },
  apply(model, size) {
    const [first] = model.channels;
    if (first) first.emitter.flux *= 1 - size;
  },
};
