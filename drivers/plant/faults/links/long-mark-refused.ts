import type { Fault } from '../fault.ts';

export const longMarkRefused: Fault = {
  id: 'long-mark-refused',
  title: 'A long mark after the break ends the frame',
  about: 'Marks may last up to a second; the receiver waits for the first slot for a moment alone.',
  family: 'links',
  size: { nominal: 0.1, unit: 's', about: 'longest mark that is known' },
  sizes: [0.45, 0.3, 0.1, 0.01],
  caughtBy: ['dmx-break-limits'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { takesBreak: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      takesBreak: (low, mark) => before(low, mark) && mark <= size,
    };
  },
};
