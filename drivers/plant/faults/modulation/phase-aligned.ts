import type { Fault } from '../fault.ts';

export const phaseAligned: Fault = {
  id: 'phase-aligned',
  title: 'PWM channels switch in phase',
  about:
    'The phase shift between the channels of a 1 kHz PWM was lost: their pulses add up in the mixed light and in the supply.',
  family: 'modulation',
  size: { nominal: 1, unit: '1', about: 'how far the phases have come together, 0..1' },
  sizes: [0.25, 0.5, 1],
  caughtBy: ['low-risk'],
  needs: { channels: 2 },
  apply(model, size, lamp) {
    model.modulator.setup = (_asked, channel) => ({
      kind: 'pwm',
      bits: 16,
      frequency: 1000,
      phase: ((1 - size) * channel) / lamp.channels.length,
    });
  },
};
