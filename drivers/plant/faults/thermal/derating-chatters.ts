import { scatter } from '../../random.ts';
import type { Fault } from '../fault.ts';

/** Board temperature at which the lamp begins to hold itself down, °C. Invented. */
const hot = 50;
/** Noise of the thermometer, K, and ticks from reading to reading. Invented. */
const noiseOf = 2;
const period = 300;

export const deratingChatters: Fault = {
  id: 'derating-chatters',
  title: 'Thermal protection chatters at its threshold',
  about: 'Without a hysteresis the noise of the thermometer switches the light down and up again.',
  family: 'thermal',
  size: { nominal: 0.2, unit: '1', about: 'part of full light that is withheld' },
  sizes: [0.0001, 0.05, 0.2],
  caughtBy: ['warming-is-smooth'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        const noise = noiseOf * (2 * scatter(Math.floor(at.tick / period)) - 1);
        return at.temperature + noise > hot ? Math.min(wanted, 1 - size) : wanted;
      },
    };
  },
};
