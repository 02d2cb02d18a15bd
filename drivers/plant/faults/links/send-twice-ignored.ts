import type { Fault } from '../fault.ts';

export const sendTwiceIgnored: Fault = {
  id: 'send-twice-ignored',
  title: 'A configuration command sent once is obeyed',
  about: 'A disturbed frame can change what the lamp remembers.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-send-twice'],
  needs: { links: ['dali'] },
  apply(model) {
    model.firmware = { ...model.firmware, sendTwice: null };
  },
};
