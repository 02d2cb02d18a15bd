import type { Fault } from '../fault.ts';

export const linearDimming: Fault = {
  id: 'linear-dimming',
  title: 'Fades run straight in light',
  about:
    'The fade adds the same light in each step instead of the same ratio: fast at the bottom, slow at the top.',
  family: 'arithmetic',
  size: { nominal: 1, unit: '1', about: '0: exponential, 1: straight' },
  sizes: [0.02, 0.1, 0.3, 1],
  caughtBy: ['fade-follows-curve', 'crossfade-path'],
  apply(model, size) {
    const { fade: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) =>
        (1 - size) * before(from, to, progress, channel) + size * (from + (to - from) * progress),
    };
  },
};
