import type { Fault } from '../fault.ts';

export const noDither: Fault = {
  id: 'no-dither',
  title: 'Dither is off and the resolution too low',
  about: 'The light moves in whole codes; low products are wrong and fades step at the bottom.',
  family: 'low end',
  size: { nominal: 12, unit: '1', about: 'bits of the code' },
  sizes: [16, 14, 12, 10],
  caughtBy: ['no-visible-step'],
  apply(model, size) {
    const { output: before } = model.firmware;
    const steps = 2 ** size;
    model.firmware = {
      ...model.firmware,
      dither: 'none',
      output: (brightness, at) => Math.round(before(brightness, at) * steps) / steps,
    };
  },
};
