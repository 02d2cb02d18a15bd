import type { Fault } from '../fault.ts';

export const oscillatorOff: Fault = {
  id: 'oscillator-off',
  title: 'The oscillator of the processor is off',
  about:
    'It runs from an oscillator that nobody trimmed: its timers and its ticks are fast, whatever the firmware.',
  family: 'timing',
  size: { nominal: 0.08, unit: '1', about: 'relative error of the frequency' },
  sizes: [0.0001, 0.01, 0.06, 0.08],
  caughtBy: ['fades-on-time', 'fades-up-on-time'],
  apply(model, size) {
    model.processor.rate *= 1 + size;
    model.modulator.clockFactor *= 1 + size;
  },
};
