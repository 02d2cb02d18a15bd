import type { Fault } from '../fault.ts';

export const fadeDownSign: Fault = {
  id: 'fade-down-sign',
  title: 'A sign is wrong in fades that go down',
  about:
    'The correction of a downward step is added instead of subtracted: the light falls behind and jumps at the end.',
  family: 'arithmetic',
  size: { nominal: 0.1, unit: '1', about: 'part of the way by which it falls behind, halved' },
  sizes: [0.01, 0.03, 0.1, 0.5, 1],
  caughtBy: ['fade-follows-curve', 'fades-on-time'],
  apply(model, size) {
    const { fade: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) =>
        before(from, to, to < from ? progress * (1 - 2 * size) : progress, channel),
    };
  },
};
