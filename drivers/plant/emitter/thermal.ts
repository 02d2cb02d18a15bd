import type { ThermalTraits } from './thermal-traits.ts';

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
