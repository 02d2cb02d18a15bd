import type { Fault } from '../fault.ts';

export const analogueDimming: Fault = {
  id: 'analogue-dimming',
  title: 'Current is dimmed instead of modulated',
  about:
    'The stage was set up for analogue dimming: the LEDs run at low current, where their colour differs.',
  family: 'colour',
  size: { nominal: 1, unit: '1', about: "colour shift over the LEDs' own" },
  sizes: [0.25, 0.5, 0.7, 1, 2],
  caughtBy: ['no-shift-while-dimming', 'colour-tracks-dimming'],
  apply(model, size) {
    model.modulator.setup = ({ bits }) => ({ kind: 'analogue', bits });
    for (const { emitter } of model.channels) {
      const [x, y] = emitter.xyPerLogCurrent;
      emitter.xyPerLogCurrent = [x * size, y * size];
    }
  },
};
