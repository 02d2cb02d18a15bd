import type { Fault } from '../fault.ts';

/** s that the rail lasts without the supply. */
const lasts = 0.008;

export const powerOffFlash: Fault = {
  id: 'power-off-flash',
  title: 'A flash at power-off',
  about: 'The processor stops before the rail is down, and for 8 ms nobody holds the outputs back.',
  family: 'supply',
  size: { nominal: 0.1, unit: '1', about: 'relative light of the flash' },
  sizes: [0.001, 0.005, 0.1, 0.5],
  caughtBy: ['no-flash-with-supply'],
  apply(model, size) {
    model.supply.lastGasp = { drive: size, lasts };
  },
};
