import type { Fault } from '../fault.ts';

/** Above this board temperature the defect shows, °C. Invented. */
const hot = 50;

export const earlyDerating: Fault = {
  id: 'early-derating',
  title: 'Derates too early',
  about: 'Above 50 °C, where the lamp should still give full light, the firmware holds it down.',
  family: 'thermal',
  size: { nominal: 0.3, unit: '1', about: 'part of full light that is withheld' },
  sizes: [0.05, 0.1, 0.3, 0.6],
  caughtBy: ['levels-over-temperature'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return at.temperature > hot ? Math.min(wanted, 1 - size) : wanted;
      },
    };
  },
};
