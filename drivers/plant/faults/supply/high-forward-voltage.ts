import type { Fault } from '../fault.ts';

export const highForwardVoltage: Fault = {
  id: 'high-forward-voltage',
  title: 'LED voltage too high for the supply',
  about: "The first channel's string has too many LEDs: at low supply its current collapses.",
  family: 'supply',
  size: { nominal: 0.38, unit: '1', about: "relative excess of the first channel's LED voltage" },
  sizes: [0.1, 0.2, 0.3, 0.34, 0.38, 0.5],
  caughtBy: ['regulation', 'white-point-over-supply'],
  apply(model, size) {
    const [first] = model.channels;
    if (first) first.emitter.forwardVoltage *= 1 + size;
  },
};
