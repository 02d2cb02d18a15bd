import type { Fault } from '../fault.ts';

export const leakyChannel: Fault = {
  id: 'leaky-channel',
  title: 'Current leaks past the switch of one channel',
  about: "The first channel is too bright at the bottom: the mix takes on that channel's colour.",
  family: 'low end',
  size: { nominal: 0.001, unit: '1', about: "leakage over the channel's full current" },
  sizes: [5e-6, 5e-5, 2e-4, 0.001, 0.005],
  caughtBy: ['channel-ratios-hold', 'reaches-bottom', 'no-current-when-off'],
  needs: { channels: 2 },
  apply(model, size) {
    for (const channel of model.channels.slice(0, 1))
      channel.leakage = size * channel.nominal.maxCurrent;
  },
};
