import type { Fault } from '../fault.ts';

export const deadZone: Fault = {
  id: 'dead-zone',
  title: 'The lamp does not dim below a threshold',
  about: 'Lower levels all give the light of the threshold.',
  family: 'low end',
  size: { nominal: 0.002, unit: '1', about: 'relative light of the threshold' },
  sizes: [0.0003, 0.0007, 0.0012, 0.002, 0.01],
  caughtBy: ['reaches-bottom', 'no-dead-zone', 'dynamic-range'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return wanted > 0 ? Math.max(size, wanted) : 0;
      },
    };
  },
};
