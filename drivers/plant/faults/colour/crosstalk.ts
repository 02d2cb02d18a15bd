import type { Fault } from '../fault.ts';

export const crosstalk: Fault = {
  id: 'crosstalk',
  title: 'Channels couple into their neighbours',
  about: "Current of one channel also flows through the next one's LEDs.",
  family: 'colour',
  size: { nominal: 0.05, unit: '1', about: 'part of the current that couples over' },
  sizes: [0.001, 0.005, 0.02, 0.04, 0.05, 0.1],
  caughtBy: ['target-chromaticity', 'channels-keep-apart'],
  needs: { channels: 2 },
  apply(model, size) {
    model.stage.crosstalk = size;
  },
};
