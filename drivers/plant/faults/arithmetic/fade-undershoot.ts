import type { Fault } from '../fault.ts';

/** Part of the fade at which it is there, and falls back. */
const arrives = 0.97;

export const fadeUndershoot: Fault = {
  id: 'fade-undershoot',
  title: 'A fade falls back before it stands',
  about: 'The light is at its target early, goes back a little, and comes again.',
  family: 'arithmetic',
  size: { nominal: 0.1, unit: '1', about: 'relative distance from the target' },
  sizes: [0.001, 0.005, 0.02, 0.1, 0.3],
  caughtBy: ['settles-after-fade'],
  apply(model, size) {
    const { fade: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) => {
        if (progress <= arrives) return before(from, to, progress / arrives, channel);
        const back = size * Math.sin((Math.PI * (progress - arrives)) / (1 - arrives));
        return to * (to > from ? 1 - back : 1 + back);
      },
    };
  },
};
