import type { Fault } from '../fault.ts';

export const phosphorCrosstalk: Fault = {
  id: 'phosphor-crosstalk',
  title: 'Channels light up what lies over their neighbours',
  about:
    "A part of each channel's light passes through the next one's phosphor or lens: it comes out in that colour.",
  family: 'colour',
  size: { nominal: 0.1, unit: '1', about: 'part of the light that changes its colour' },
  sizes: [0.0005, 0.02, 0.1],
  caughtBy: ['target-chromaticity'],
  needs: { channels: 2 },
  apply(model, size) {
    model.optics.crosstalk += size;
  },
};
