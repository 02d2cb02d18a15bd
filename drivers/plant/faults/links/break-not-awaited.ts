import type { Fault } from '../fault.ts';

export const breakNotAwaited: Fault = {
  id: 'break-not-awaited',
  title: 'DMX bytes are accepted without a break',
  about: 'The receiver does not wait for a break: noise between two frames becomes a frame.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dmx-noise'],
  needs: { links: ['dmx'] },
  apply(model) {
    model.firmware = { ...model.firmware, needsNoBreak: true };
  },
};
