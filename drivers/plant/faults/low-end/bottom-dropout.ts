import type { Fault } from '../fault.ts';

export const bottomDropout: Fault = {
  id: 'bottom-dropout',
  title: 'The bottom level drops out',
  about: 'Below a threshold a channel goes dark.',
  family: 'low end',
  size: { nominal: 0.0012, unit: '1', about: 'relative light of the threshold' },
  sizes: [0.0001, 0.0005, 0.0012, 0.005],
  caughtBy: ['reaches-bottom', 'mix-reaches-bottom'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return wanted < size ? 0 : wanted;
      },
    };
  },
};
