import type { Fault } from '../fault.ts';

export const coarseFadeSteps: Fault = {
  id: 'coarse-fade-steps',
  title: 'A fade has too few steps',
  about:
    'While fading, the light is rounded to whole steps of a narrow register; near the bottom each step is visible.',
  family: 'arithmetic',
  size: { nominal: 8, unit: '1', about: 'bits of the register' },
  sizes: [12, 10, 8, 6],
  caughtBy: ['no-visible-step', 'no-effect-in-fade', 'eye-in-fade'],
  apply(model, size) {
    const { output: before } = model.firmware;
    const steps = 2 ** size;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        if (!at.fading || wanted === 0) return wanted;
        return Math.max(1, Math.round(wanted * steps)) / steps;
      },
    };
  },
};
