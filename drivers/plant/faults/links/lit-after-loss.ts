import type { Fault } from '../fault.ts';

export const litAfterLoss: Fault = {
  id: 'lit-after-loss',
  title: 'The lamp stays lit when its signal is lost',
  about:
    'Its lamp file says that it goes dark without a signal; the firmware holds its light for good.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dmx-loss-darkens', 'sacn-loss-darkens'],
  needs: { links: ['dmx', 'sacn'], 'on-loss': 'off' },
  apply(model) {
    model.firmware = { ...model.firmware, lossAction: () => 'hold' };
  },
};
