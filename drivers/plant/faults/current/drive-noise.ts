import type { Fault } from '../fault.ts';

export const driveNoise: Fault = {
  id: 'drive-noise',
  title: 'Noise on the current reference',
  about:
    'Switching noise couples into the reference of all channels: the light flickers at random.',
  family: 'current',
  size: { nominal: 0.05, unit: '1', about: 'relative rms in 100 Hz' },
  sizes: [0.003, 0.01, 0.02, 0.05],
  caughtBy: ['steady-at-full', 'eye', 'stable-at-bottom', 'low-frequency-in-fade'],
  apply(model, size) {
    model.stage.noise = size;
    model.stage.noiseBandwidth = 100;
  },
};
