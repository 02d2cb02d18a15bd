import type { Fault } from '../fault.ts';

export const lostOrders: Fault = {
  id: 'lost-orders',
  title: 'Commands are acknowledged and lost',
  about: 'The lamp answers ok and does nothing.',
  family: 'links',
  size: { nominal: 0.5, unit: '1', about: 'fraction of commands lost' },
  sizes: [0.02, 0.1, 0.35, 0.5],
  caughtBy: ['follows-curve', 'light-after-storm'],
  apply(model, size) {
    const { obeys: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      obeys: (index) =>
        before(index) && Math.floor((index + 1) * size) === Math.floor(index * size),
    };
  },
};
