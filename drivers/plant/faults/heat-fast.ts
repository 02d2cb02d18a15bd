import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { PlantModel } from '../model.ts';

/** Makes the board warm up by 80 K within a few seconds at full power; those kelvin. */
export function heatFast({ thermal }: PlantModel, { channels }: Lamp): number {
  const rise = 80;
  const watts = channels.reduce((sum, c) => sum + c.maxCurrent * c.forwardVoltage, 0);
  thermal.resistance = rise / watts;
  thermal.timeConstant = 2;
  return rise;
}
