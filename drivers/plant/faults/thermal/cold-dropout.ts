import type { Fault } from '../fault.ts';

/** Below this board temperature the defect shows, °C. Invented. */
const cold = 10;

export const coldDropout: Fault = {
  id: 'cold-dropout',
  title: 'Low light is lost in the cold',
  about: 'Below 10 °C the firmware gives up levels under a threshold.',
  family: 'thermal',
  size: { nominal: 0.002, unit: '1', about: 'relative light of the threshold' },
  sizes: [0.0005, 0.002, 0.01, 0.05],
  caughtBy: ['bottom-over-temperature'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return at.temperature < cold && wanted < size ? 0 : wanted;
      },
    };
  },
};
