import type { Fault } from '../fault.ts';

export const markTooStrict: Fault = {
  id: 'mark-too-strict',
  title: 'Short marks are missed',
  about: 'The receiver wants a longer mark after the break than the standard allows it to want.',
  family: 'links',
  size: { nominal: 10e-6, unit: 's', about: 'shortest mark that is known' },
  sizes: [6e-6, 9e-6, 10e-6],
  caughtBy: ['dmx-break-limits'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { takesBreak: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      takesBreak: (low, mark) => before(low, mark) && mark >= size,
    };
  },
};
