import type { Fault } from '../fault.ts';

export const lateChannels: Fault = {
  id: 'late-channels',
  title: 'Channels arrive at different times',
  about:
    'The fade time is computed for each channel separately, and each takes longer than the one before.',
  family: 'timing',
  size: { nominal: 0.05, unit: '1', about: 'relative excess of the last channel' },
  sizes: [0.005, 0.02, 0.05, 0.2],
  caughtBy: ['crossfade-arrives-together'],
  needs: { channels: 2 },
  apply(model, size, lamp) {
    const { fadeTime: before } = model.firmware;
    const last = Math.max(1, lamp.channels.length - 1);
    model.firmware = {
      ...model.firmware,
      fadeTime: (seconds, channel) => before(seconds, channel) * (1 + (size * channel) / last),
    };
  },
};
