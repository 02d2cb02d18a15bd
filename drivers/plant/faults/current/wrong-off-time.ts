import type { Fault } from '../fault.ts';

export const wrongOffTime: Fault = {
  id: 'wrong-off-time',
  title: 'Off-time set wrong',
  about:
    'The fixed off-time does not suit inductor and LEDs: ripple grows, the mean current and the frequency fall.',
  family: 'current',
  size: { nominal: 0.3, unit: '1', about: 'relative excess of the off-time' },
  sizes: [0.03, 0.1, 0.2, 0.3, 1],
  caughtBy: ['ripple', 'switching-frequency'],
  needs: { stage: 'fixed-off-time' },
  apply(model, size) {
    model.stage.offTimeFactor *= 1 + size;
  },
};
