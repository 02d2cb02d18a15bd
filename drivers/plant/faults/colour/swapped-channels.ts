import type { Fault } from '../fault.ts';

export const swappedChannels: Fault = {
  id: 'swapped-channels',
  title: 'Two channels are swapped',
  about: "Two cables are crossed: the first channel's drive lights another one.",
  family: 'colour',
  size: { nominal: 1, unit: '1', about: 'distance of the swapped channels' },
  sizes: [1],
  caughtBy: ['target-chromaticity'],
  needs: { channels: 2 },
  apply(model, size) {
    const swap = new Map([
      [0, size],
      [size, 0],
    ]);
    model.modulator.output = (channel) => swap.get(channel) ?? channel;
  },
};
