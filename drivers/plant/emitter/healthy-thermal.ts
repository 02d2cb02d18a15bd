import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';
import type { ThermalTraits } from './thermal-traits.ts';

/** K above ambient after hours with every channel full on: a generous heat sink. Invented. */
const fullRise = 12;

/** One pole from board to air; the reference temperature is the ambient one. */
export function healthyThermal(lamp: Lamp, random: Random): ThermalTraits {
  const power = lamp.channels.reduce((sum, c) => sum + c.maxCurrent * c.forwardVoltage, 0);
  return {
    ambient: 25,
    reference: 25,
    resistance: (fullRise / power) * (1 + random.within(0.05)),
    timeConstant: 120 * (1 + random.within(0.05)),
  };
}
