import type { Fault } from '../fault.ts';

export const wrongLossAction: Fault = {
  id: 'wrong-loss-action',
  title: 'The lamp does the wrong thing when its signal is lost',
  about: 'It goes off where it should hold its light, or holds it where it should go off.',
  family: 'links',
  size: { nominal: 1.25, unit: 's', about: 'time from the loss to the wrong action' },
  sizes: [0.5, 1.25, 2],
  caughtBy: ['dmx-loss-holds', 'sacn-loss-holds'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { lossAction: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      signalLoss: size,
      lossAction: (promised) => (before(promised) === 'hold' ? 'off' : 'hold'),
    };
  },
};
