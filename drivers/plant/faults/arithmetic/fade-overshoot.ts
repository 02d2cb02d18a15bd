import type { Fault } from '../fault.ts';

export const fadeOvershoot: Fault = {
  id: 'fade-overshoot',
  title: 'A fade overshoots its target',
  about: 'Shortly before its end the light passes the target and comes back.',
  family: 'arithmetic',
  size: { nominal: 0.1, unit: '1', about: 'relative excess over the target' },
  sizes: [0.01, 0.03, 0.1, 0.3],
  caughtBy: ['crossfade-arrives-together', 'smooth-start-and-stop'],
  apply(model, size) {
    const { fade: before } = model.firmware;
    const arrives = 0.97;
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) => {
        if (progress <= arrives) return before(from, to, progress / arrives, channel);
        const excess = size * Math.sin((Math.PI * (progress - arrives)) / (1 - arrives));
        return to * (to > from ? 1 + excess : 1 - excess);
      },
    };
  },
};
