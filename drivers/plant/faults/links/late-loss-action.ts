import type { Fault } from '../fault.ts';

export const lateLossAction: Fault = {
  id: 'late-loss-action',
  title: 'The lamp goes dark too late when its signal is lost',
  about: 'It waits longer for the next DMX frame than its data sheet says, and stays lit.',
  family: 'links',
  size: { nominal: 16, unit: 's', about: 'time from the loss to the dark' },
  sizes: [1.25, 2, 8, 16],
  caughtBy: ['dmx-loss-darkens'],
  needs: { links: ['dmx'], 'on-loss': 'off' },
  apply(model, size) {
    model.firmware = { ...model.firmware, signalLoss: size };
  },
};
