import type { Fault } from '../fault.ts';

export const slowAfterWrap: Fault = {
  id: 'slow-after-wrap',
  title: 'After a wrap of the clock fades are slow',
  about: 'Once a counter of 32 bit has wrapped, every second tick is taken for a late one.',
  family: 'timing',
  size: {
    nominal: 4294.967296,
    unit: 's',
    about: 'time after power-up at which the counter wraps',
  },
  sizes: [4294967.296, 4294.967296],
  caughtBy: ['after-an-hour', 'after-weeks'],
  apply(model, size) {
    const { clock: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      clock: (tick, now) => before(tick, now) * (now > size ? 0.5 : 1),
    };
  },
};
