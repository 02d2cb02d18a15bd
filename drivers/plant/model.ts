import type { Lamp } from '../../harness/bench/lamp.ts';
import { healthyThermal, type ThermalTraits } from './emitter/thermal.ts';
import { type EmitterTraits, healthyEmitters } from './emitter/traits.ts';
import { type FirmwareTraits, healthyFirmware } from './firmware/traits.ts';
import { healthyLinkTraits, type LinkTraits } from './links/traits.ts';
import { healthyModulator, type ModulatorTraits } from './modulator/traits.ts';
import { healthyOptics, type OpticsTraits } from './optics/traits.ts';
import { Random } from './random.ts';
import { healthySensors, type SensorTraits } from './sensors/traits.ts';
import { healthySupply, type SupplyTraits } from './stage/supply-traits.ts';
import { healthyStage, type StageTraits } from './stage/traits.ts';

/** Everything that a seeded fault may change, and every component value of one lamp. */
export interface PlantModel {
  firmware: FirmwareTraits;
  modulator: ModulatorTraits;
  stage: StageTraits;
  /** One a channel, in the lamp file's order. */
  emitter: EmitterTraits[];
  optics: OpticsTraits;
  thermal: ThermalTraits;
  supply: SupplyTraits;
  links: LinkTraits;
  sensors: SensorTraits;
}

/** A lamp that keeps its promises: component values within their tolerances, drawn from the seed. */
export function healthyModel(lamp: Lamp, lampSeed: number): PlantModel {
  const draw = (part: string) => new Random(lampSeed, part);
  return {
    firmware: { ...healthyFirmware },
    modulator: healthyModulator(lamp, draw('modulator')),
    stage: healthyStage(lamp, draw('stage')),
    emitter: healthyEmitters(lamp, draw('emitter')),
    optics: healthyOptics(lamp, draw('optics')),
    thermal: healthyThermal(lamp, draw('thermal')),
    supply: healthySupply(lamp, draw('supply')),
    links: { ...healthyLinkTraits },
    sensors: { ...healthySensors },
  };
}
