import type { Fault } from '../fault.ts';

export const unevenDimming: Fault = {
  id: 'uneven-dimming',
  title: 'One channel dims by another curve',
  about:
    "The first channel's table was made for another exponent: the lower the level, the less of that channel is in the mix.",
  family: 'colour',
  size: { nominal: 0.1, unit: '1', about: 'excess of the exponent over 1' },
  sizes: [0.0005, 0.01, 0.03, 0.1],
  caughtBy: ['colour-tracks-dimming'],
  needs: { channels: 2 },
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return at.channel === 0 && wanted > 0 ? wanted ** (1 + size) : wanted;
      },
    };
  },
};
