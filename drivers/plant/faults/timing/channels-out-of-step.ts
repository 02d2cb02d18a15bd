import type { Fault } from '../fault.ts';

export const channelsOutOfStep: Fault = {
  id: 'channels-out-of-step',
  title: 'Channels start one after the other',
  about: 'Each channel begins its fade a little after its neighbour.',
  family: 'timing',
  size: { nominal: 0.03, unit: 's', about: 'delay from channel to channel' },
  sizes: [0.001, 0.005, 0.01, 0.03, 0.1],
  caughtBy: ['crossfade-arrives-together', 'channels-in-step'],
  needs: { channels: 2 },
  apply(model, size) {
    const { fadeDelay: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      fadeDelay: (channel) => before(channel) + size * channel,
    };
  },
};
