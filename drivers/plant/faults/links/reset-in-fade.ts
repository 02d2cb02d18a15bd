import type { Fault } from '../fault.ts';

export const resetInFade: Fault = {
  id: 'reset-in-fade',
  title: 'The firmware restarts in the middle of a fade',
  about: 'A watchdog fires: the lamp goes dark and comes back at the end level.',
  family: 'links',
  size: { nominal: 1, unit: 's', about: 'time from the start of the fade' },
  sizes: [5, 1, 0.3],
  caughtBy: ['fade-follows-curve'],
  apply(model, size) {
    model.firmware = { ...model.firmware, crashAfter: size };
  },
};
