import type { Fault } from '../fault.ts';

export const longBreakRefused: Fault = {
  id: 'long-break-refused',
  title: 'A long break counts as a cable that was pulled',
  about: 'Breaks may last up to a second; the receiver gives the frame behind a long one up.',
  family: 'links',
  size: { nominal: 0.1, unit: 's', about: 'longest break that is known' },
  sizes: [0.45, 0.3, 0.1, 0.01],
  caughtBy: ['dmx-break-limits'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { takesBreak: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      takesBreak: (low, mark) => before(low, mark) && low <= size,
    };
  },
};
