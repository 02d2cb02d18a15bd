import type { Fault } from '../fault.ts';

export const openLed: Fault = {
  id: 'open-led',
  title: 'An LED is open',
  about: "An LED of the first channel's string has broken: the channel stays dark.",
  family: 'current',
  size: { nominal: 1, unit: '1', about: 'channels that are open' },
  sizes: [1, 2],
  caughtBy: ['target-chromaticity', 'mean-current'],
  apply(model, size) {
    for (const channel of model.channels.slice(0, size)) channel.open = true;
  },
};
