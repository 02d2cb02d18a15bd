import type { Fault } from '../fault.ts';

export const rippleCurrent: Fault = {
  id: 'ripple-current',
  title: 'Inductor too small',
  about: 'The inductor has only part of its inductance: ripple and peak current of the LEDs rise.',
  family: 'current',
  size: { nominal: 0.4, unit: '1', about: 'relative loss of inductance' },
  sizes: [0.05, 0.1, 0.2, 0.4, 0.6],
  caughtBy: ['ripple'],
  needs: { stage: 'fixed-off-time' },
  apply(model, size) {
    for (const channel of model.channels) channel.inductance *= 1 - size;
  },
};
