import type { Fault } from '../fault.ts';

/** Part of the target by which the light is short of it, or beyond, when the regulator takes over. */
const near = 0.06;

export const slowSettling: Fault = {
  id: 'slow-settling',
  title: 'A fade creeps to its target',
  about: 'A slow regulator makes the last 6 % of each fade.',
  family: 'arithmetic',
  size: { nominal: 0.2, unit: 's', about: 'time constant of the regulator' },
  sizes: [0.005, 0.02, 0.08, 0.2],
  caughtBy: ['settles-after-fade'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const isNear = (light: number) => Math.abs(light - at.target) < near * at.target;
        if (!isNear(wanted) || !isNear(at.previous)) return wanted;
        return wanted + (at.previous - wanted) * Math.exp(-at.tickPeriod / size);
      },
    };
  },
};
