import type { Fault } from '../fault.ts';

export const tickJitter: Fault = {
  id: 'tick-jitter',
  title: 'The control tick comes in bursts',
  about: 'The processor stalls: the fade stands still and then catches up.',
  family: 'timing',
  size: { nominal: 0.1, unit: 's', about: 'length of a stall' },
  sizes: [0.01, 0.03, 0.08, 0.1, 0.3],
  caughtBy: ['no-visible-step'],
  apply(model, size) {
    const { clock: before } = model.firmware;
    // The control tick is 1 ms.
    const ticks = Math.max(1, Math.round(size / 1e-3));
    model.firmware = {
      ...model.firmware,
      clock: (tick, now) => (tick % ticks === ticks - 1 ? ticks * before(tick, now) : 0),
    };
  },
};
