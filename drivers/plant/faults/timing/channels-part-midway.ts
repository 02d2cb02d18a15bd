import type { Fault } from '../fault.ts';

export const channelsPartMidway: Fault = {
  id: 'channels-part-midway',
  title: 'Channels part in the middle of a fade',
  about:
    'Each channel fades along a line of its own: all start and arrive together, and on the way the mix is another.',
  family: 'timing',
  size: {
    nominal: 0.05,
    unit: '1',
    about: 'part of the fade by which the last channel is ahead midway',
  },
  sizes: [0.0005, 0.002, 0.01, 0.05, 0.1],
  caughtBy: ['channels-in-step'],
  needs: { channels: 2 },
  apply(model, size, lamp) {
    const { fade: before } = model.firmware;
    const last = Math.max(1, lamp.channels.length - 1);
    model.firmware = {
      ...model.firmware,
      fade: (from, to, progress, channel) => {
        const ahead = (size * channel * Math.sin(Math.PI * progress)) / last;
        return before(from, to, progress + ahead, channel);
      },
    };
  },
};
