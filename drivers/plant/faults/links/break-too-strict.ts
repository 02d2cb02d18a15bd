import type { Fault } from '../fault.ts';

export const breakTooStrict: Fault = {
  id: 'break-too-strict',
  title: 'Short breaks are missed',
  about:
    'The receiver wants a longer break than the standard allows it to want: frames of fast senders are lost.',
  family: 'links',
  size: { nominal: 120e-6, unit: 's', about: 'shortest break that is known' },
  sizes: [80e-6, 90e-6, 120e-6, 150e-6],
  caughtBy: ['dmx-break-limits'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { takesBreak: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      takesBreak: (low, mark) => before(low, mark) && low >= size,
    };
  },
};
