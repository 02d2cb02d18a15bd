import type { Fault } from '../fault.ts';

/** V across one LED of a string. Common practice for blue dice, no source; a red one has less. */
const ofOneLed = 3;

export const shortedLeds: Fault = {
  id: 'shorted-leds',
  title: 'LEDs of a string are shorted',
  about:
    "The right current flows past some of the first channel's LEDs: it has less light, and less forward voltage.",
  family: 'current',
  size: { nominal: 3, unit: '1', about: 'LEDs that are shorted; half of one: it leaks' },
  sizes: [0.5, 1, 2, 3, 5],
  caughtBy: ['target-chromaticity'],
  needs: { channels: 2 },
  apply(model, size) {
    for (const { emitter, nominal } of model.channels.slice(0, 1)) {
      const leds = Math.max(1, Math.round(nominal.forwardVoltage / ofOneLed));
      const left = Math.max(0, leds - size) / leds;
      emitter.flux *= left;
      emitter.forwardVoltage *= left;
      emitter.dynamicResistance *= left;
    }
  },
};
