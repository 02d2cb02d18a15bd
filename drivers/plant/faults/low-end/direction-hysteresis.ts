import type { Fault } from '../fault.ts';

export const directionHysteresis: Fault = {
  id: 'direction-hysteresis',
  title: 'The light depends on where it came from',
  about: 'After going up, a channel stays a little below its target; after going down it does not.',
  family: 'low end',
  size: { nominal: 0.12, unit: '1', about: 'relative difference' },
  sizes: [0.01, 0.03, 0.12, 0.3],
  caughtBy: ['same-up-and-down'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => before(brightness, at) * (at.target > at.origin ? 1 - size : 1),
    };
  },
};
