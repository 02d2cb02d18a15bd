import { scatter } from '../../random.ts';
import type { Fault } from '../fault.ts';

export const missedTicks: Fault = {
  id: 'missed-ticks',
  title: 'Control ticks get lost',
  about: 'Some ticks never happen; fades take longer.',
  family: 'timing',
  size: { nominal: 0.1, unit: '1', about: 'fraction of ticks lost' },
  sizes: [0.005, 0.02, 0.05, 0.1, 0.3],
  caughtBy: ['fades-on-time'],
  apply(model, size) {
    const { clock: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      clock: (tick, now) => (scatter(tick) < size ? 0 : before(tick, now)),
    };
  },
};
