import type { Fault } from '../fault.ts';

export const slowPwm: Fault = {
  id: 'slow-pwm',
  title: 'PWM at a few hundred hertz',
  about:
    'The modulator was set up as slow pulse-width modulation: invisible to the eye at rest, visible to the brain and to a camera.',
  family: 'modulation',
  size: { nominal: 200, unit: 'Hz', about: 'PWM frequency' },
  sizes: [2000, 1000, 400, 200, 100],
  caughtBy: [
    'low-risk',
    'no-effect',
    'low-frequency-quiet',
    'no-strobing',
    'camera',
    'camera-fast',
    'camera-in-fade',
    'no-effect-in-fade',
    'no-strobing-in-fade',
  ],
  apply(model, size) {
    model.modulator.setup = () => ({ kind: 'pwm', bits: 16, frequency: size, phase: 0 });
  },
};
