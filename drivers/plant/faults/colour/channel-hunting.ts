import type { Fault } from '../fault.ts';

/** Hz: slow enough for the eye to follow the colour. */
const frequency = 2;

export const channelHunting: Fault = {
  id: 'channel-hunting',
  title: 'One channel hunts around its level',
  about:
    "The first channel's level control never settles: the colour of a mix swings to and fro, its brightness hardly.",
  family: 'colour',
  size: { nominal: 0.2, unit: '1', about: 'relative swing of the channel' },
  sizes: [0.001, 0.01, 0.05, 0.2],
  caughtBy: ['colour-stands-still'],
  needs: { channels: 2 },
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        if (at.channel !== 0) return wanted;
        const phase = 2 * Math.PI * frequency * at.tick * at.tickPeriod;
        return wanted * (1 + size * Math.sin(phase));
      },
    };
  },
};
