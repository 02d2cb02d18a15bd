import type { Fault } from '../fault.ts';

export const slowFramesLost: Fault = {
  id: 'slow-frames-lost',
  title: 'The lamp goes dark between slow frames',
  about: 'Frames may come a second apart; the lamp takes the signal for lost before.',
  family: 'links',
  size: { nominal: 0.5, unit: 's', about: 'time without frames until the signal is lost' },
  sizes: [1.1, 0.9, 0.5, 0.2],
  caughtBy: ['dmx-frame-rates'],
  needs: { links: ['dmx'], 'on-loss': 'off' },
  apply(model, size) {
    model.firmware = { ...model.firmware, signalLoss: size };
  },
};
