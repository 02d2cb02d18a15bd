import type { Lamp } from '../../harness/bench/lamp.ts';
import { healthyThermal, type ThermalTraits } from './emitter/thermal.ts';
import { type EmitterTraits, healthyEmitter } from './emitter/traits.ts';
import type { AdcTraits } from './firmware/adc-traits.ts';
import { healthyProcessor, type ProcessorTraits } from './firmware/processor-traits.ts';
import { type FirmwareTraits, healthyFirmware } from './firmware/traits.ts';
import { healthyLinkTraits, type LinkTraits } from './links/traits.ts';
import { healthyModulator, type ModulatorTraits } from './modulator/traits.ts';
import type { MemoryTraits } from './non-volatile-memory.ts';
import { healthyLuxPerLumen, healthyOptics, type OpticsTraits } from './optics/traits.ts';
import { Random } from './random.ts';
import { healthySensors, type SensorTraits } from './sensors/traits.ts';
import { healthySupply, type SupplyTraits } from './stage/supply-traits.ts';
import {
  type ChannelStage,
  healthyChannelStages,
  healthyStage,
  type StageTraits,
} from './stage/traits.ts';

/** One channel as built, from its driver to the sensors. */
export interface ChannelModel extends ChannelStage {
  readonly emitter: EmitterTraits;
  /** Illuminance at the sensors for each lumen of the channel, lx/lm. */
  luxPerLumen: number;
}

/** Everything that a seeded fault may change, and every component value of one lamp. */
export interface PlantModel {
  firmware: FirmwareTraits;
  processor: ProcessorTraits;
  memory: MemoryTraits;
  adc: AdcTraits;
  modulator: ModulatorTraits;
  stage: StageTraits;
  /** In the lamp file's order. */
  readonly channels: readonly ChannelModel[];
  optics: OpticsTraits;
  thermal: ThermalTraits;
  supply: SupplyTraits;
  links: LinkTraits;
  sensors: SensorTraits;
}

/** A lamp that keeps its promises: component values within their tolerances, drawn from the seed. */
export function healthyModel(lamp: Lamp, lampSeed: number): PlantModel {
  const draw = (part: string) => new Random(lampSeed, part);
  const [stages, emitters, optics] = [draw('stage'), draw('emitter'), draw('optics')];
  const channels = healthyChannelStages(lamp, stages).map((stage) => ({
    ...stage,
    emitter: healthyEmitter(stage.nominal, emitters, lamp.spread),
    luxPerLumen: healthyLuxPerLumen(optics),
  }));
  return {
    firmware: { ...healthyFirmware },
    processor: healthyProcessor(lamp),
    memory: {
      writeTime: lamp.memory?.writeTime ?? 0,
      endurance: lamp.memory?.endurance ?? Number.POSITIVE_INFINITY,
      written: lamp.memory?.written ?? 0,
    },
    adc: { bits: 12, noise: 0, sampling: 'call', ...lamp.adc },
    modulator: healthyModulator(lamp, draw('modulator')),
    stage: healthyStage(lamp, stages),
    channels,
    optics: healthyOptics(lamp),
    thermal: healthyThermal(lamp, draw('thermal')),
    supply: healthySupply(lamp, draw('supply')),
    links: { ...healthyLinkTraits },
    sensors: { ...healthySensors },
  };
}
