import type { Fault } from '../fault.ts';

/** s without a kick that the watchdog waits. Invented. */
const timeout = 0.1;

export const watchdogInFade: Fault = {
  id: 'watchdog-in-fade',
  title: 'Nobody kicks the watchdog in a long fade',
  about: 'A fade keeps the loop that kicks it from its turn: the watchdog restarts the lamp.',
  family: 'timing',
  size: { nominal: 0.5, unit: 's', about: 'time from the start of the fade to the last kick' },
  sizes: [100, 2, 0.5],
  caughtBy: ['fade-follows-curve', 'fades-on-time'],
  apply(model, size) {
    model.processor.watchdog = timeout;
    model.firmware = {
      ...model.firmware,
      kicksWatchdog: (fadingFor) => fadingFor === null || fadingFor < size,
    };
  },
};
