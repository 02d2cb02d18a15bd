import type { Fault } from '../fault.ts';

export const unevenForwardVoltage: Fault = {
  id: 'uneven-forward-voltage',
  title: 'Strings of mixed bins',
  about:
    'LEDs of several bins of forward voltage are mixed: every other string needs more, the others less.',
  family: 'current',
  size: {
    nominal: 0.3,
    unit: '1',
    about: 'relative excess of every other string, and what the others lack',
  },
  sizes: [0.01, 0.1, 0.3],
  caughtBy: ['ripple', 'switching-frequency'],
  needs: { channels: 2, stage: 'fixed-off-time' },
  apply(model, size) {
    for (const [index, { emitter }] of model.channels.entries())
      emitter.forwardVoltage *= index % 2 === 0 ? 1 + size : 1 - size;
  },
};
