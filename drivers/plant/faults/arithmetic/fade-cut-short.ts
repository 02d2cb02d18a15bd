import type { Fault } from '../fault.ts';

export const fadeCutShort: Fault = {
  id: 'fade-cut-short',
  title: 'The end of a fade is cut off',
  about: 'The light jumps over the last part of the fade.',
  family: 'arithmetic',
  size: { nominal: 0.1, unit: '1', about: 'part of the fade that is skipped' },
  sizes: [0.01, 0.03, 0.05, 0.1, 0.3],
  caughtBy: ['fade-follows-curve'],
  apply(model, size) {
    const { fade: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) =>
        progress > 1 - size ? to : before(from, to, progress, channel),
    };
  },
};
