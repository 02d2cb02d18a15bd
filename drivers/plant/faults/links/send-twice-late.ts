import type { Fault } from '../fault.ts';

export const sendTwiceLate: Fault = {
  id: 'send-twice-late',
  title: 'A repetition that comes too late still counts',
  about: 'Two configuration commands far apart are taken as a pair.',
  family: 'links',
  size: { nominal: 0.4, unit: 's', about: 'time beyond the 100 ms that the standard allows' },
  sizes: [0.05, 0.1, 0.2, 0.4],
  caughtBy: ['dali-send-twice'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { sendTwice } = model.firmware;
    model.firmware = { ...model.firmware, sendTwice: sendTwice === null ? null : sendTwice + size };
  },
};
