import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** One thermal pole from the LED board to the air. */
export interface ThermalTraits {
  /** degrees Celsius */
  ambient: number;
  /** Temperature at which the emitters have their nominal light, degrees Celsius. */
  reference: number;
  /** K/W */
  resistance: number;
  /** s */
  timeConstant: number;
  /** The thermometer on the board. */
  sensor: 'sound' | 'open' | 'shorted';
}

/** °C that firmware reads of a thermometer whose wire is broken, or shorted: a thermistor then looks ice cold, or burning. Invented. */
export const brokenReadings = { open: -55, shorted: 160 } as const;

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
    sensor: 'sound',
  };
}

/** Temperature of the LED board, one pole: T' = (T_ambient + R P - T) / tau. Exact for power constant over the step. */
export class Thermal {
  temperature: number;
  private readonly traits: ThermalTraits;

  constructor(traits: ThermalTraits) {
    this.traits = traits;
    this.temperature = traits.ambient;
  }

  /** Moves on by `seconds` at a constant heat of `watts`; degrees Celsius afterwards. */
  step(seconds: number, watts: number): number {
    const { ambient, resistance, timeConstant } = this.traits;
    const end = ambient + resistance * watts;
    const left = Math.exp(-seconds / timeConstant);
    this.temperature = end + (this.temperature - end) * left;
    return this.temperature;
  }
}
