import type { Fault } from '../fault.ts';

export const consoleRangeWraps: Fault = {
  id: 'console-range-wraps',
  title: 'A level beyond full wraps round',
  about: 'A dim level of 150 % on the console becomes 50 %.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['console-range'],
  needs: { links: ['console'] },
  apply(model) {
    model.firmware = {
      ...model.firmware,
      consoleFigure: (wanted) => (wanted <= 1 ? wanted : wanted % 1 || 1),
    };
  },
};
