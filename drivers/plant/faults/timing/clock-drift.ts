import type { Fault } from '../fault.ts';

export const clockDrift: Fault = {
  id: 'clock-drift',
  title: 'The clock of the firmware is fast',
  about: 'Fades end too early.',
  family: 'timing',
  size: { nominal: 0.08, unit: '1', about: 'relative error of the clock' },
  sizes: [0.005, 0.02, 0.06, 0.08, 0.2],
  caughtBy: ['fades-on-time', 'fades-up-on-time'],
  apply(model, size) {
    const { clock: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      clock: (tick, now) => before(tick, now) * (1 + size),
    };
  },
};
