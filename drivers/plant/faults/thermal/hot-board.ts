import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type { PlantModel } from '../../model.ts';
import type { Fault } from '../fault.ts';

/** Makes the board warm up by 80 K within a few seconds at full power; those kelvin. */
export function heatFast({ thermal }: PlantModel, { channels }: Lamp): number {
  const rise = 80;
  const watts = channels.reduce((sum, c) => sum + c.maxCurrent * c.forwardVoltage, 0);
  thermal.resistance = rise / watts;
  thermal.timeConstant = 2;
  return rise;
}

export const hotBoard: Fault = {
  id: 'hot-board',
  title: 'Heat sink came loose',
  about: 'The LED board heats within seconds: the light sags after every rise.',
  family: 'thermal',
  size: { nominal: 0.3, unit: '1', about: 'relative loss of light when hot' },
  sizes: [0.03, 0.1, 0.2, 0.3, 0.5],
  caughtBy: ['steady-at-full'],
  apply(model, size, lamp) {
    const kelvin = heatFast(model, lamp);
    for (const { emitter } of model.channels) emitter.lightPerKelvin = -size / kelvin;
  },
};
