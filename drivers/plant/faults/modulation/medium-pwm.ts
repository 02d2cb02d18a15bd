import type { Fault } from '../fault.ts';

export const mediumPwm: Fault = {
  id: 'medium-pwm',
  title: 'PWM at a few kilohertz',
  about:
    'The modulator was set up as pulse-width modulation that no limit for flicker knows: a moving eye sees a row of lights.',
  family: 'modulation',
  size: { nominal: 4000, unit: 'Hz', about: 'PWM frequency' },
  sizes: [32_000, 8000, 4000, 2000],
  caughtBy: ['no-phantom-array'],
  apply(model, size) {
    model.modulator.setup = () => ({ kind: 'pwm', bits: 16, frequency: size, phase: 0 });
  },
};
