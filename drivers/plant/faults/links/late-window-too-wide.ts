import type { Fault } from '../fault.ts';

export const lateWindowTooWide: Fault = {
  id: 'late-window-too-wide',
  title: 'A sender that jumps back is not heard',
  about:
    'Any number up to 128 behind the last one counts as late, where the standard has 20: a sender that starts anew is ignored.',
  family: 'links',
  size: { nominal: 128, unit: '1', about: 'numbers that count as late' },
  sizes: [20, 30, 128],
  caughtBy: ['sacn-jump-back'],
  needs: { links: ['sacn'] },
  apply(model, size) {
    model.links = { ...model.links, isLate: (sequence, last) => ((last - sequence) & 0xff) < size };
  },
};
