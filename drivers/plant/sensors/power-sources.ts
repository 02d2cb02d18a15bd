import { type Epoch, EpochWalk } from '../epoch.ts';
import type { Plant } from '../plant.ts';
import type { SampleBlock } from '../sample-block.ts';
import { mainsShape } from '../stage/mains-current.ts';
import type { GatedSource } from './gated-source.ts';
import { InrushCurrent } from './inrush-current.ts';
import type { SignalSource } from './signal-source.ts';

/** A from the DC supply: the stages' current behind the input filter (one pole), and what charges the input capacitor. */
export class SupplyCurrent implements SignalSource {
  private readonly plant: Plant;
  private readonly load: GatedSource;
  private readonly inrush: InrushCurrent;
  private pole: number | null = null;

  constructor(plant: Plant, load: GatedSource) {
    this.plant = plant;
    this.load = load;
    this.inrush = new InrushCurrent(plant);
  }

  fill(block: SampleBlock): void {
    this.load.fill(block);
    const { samples, dt } = block;
    const a = dt / this.plant.model.supply.inputFilter;
    const decay = Math.exp(-a);
    const leak = -Math.expm1(-a) / a;
    let pole = this.pole ?? samples[0] ?? 0;
    for (let k = 0; k < samples.length; k++) {
      const u = samples[k] ?? 0;
      const away = pole - u;
      pole = u + away * decay;
      samples[k] = u + away * leak;
    }
    this.pole = pole;
    this.inrush.addTo(block);
  }
}

/** V at the lamp's terminals: the source less what its resistance takes, with the rail's ripple. */
export class SupplyVoltage implements SignalSource {
  private readonly plant: Plant;
  private readonly current: SupplyCurrent;

  constructor(plant: Plant, current: SupplyCurrent) {
    this.plant = plant;
    this.current = current;
  }

  fill(block: SampleBlock): void {
    this.current.fill(block);
    const { supply } = this.plant.model;
    eachSample(this.plant, block, ({ source }, t, amps) => {
      const ripple = supply.ripple * Math.sin(4 * Math.PI * supply.mainsFrequency * t);
      return source * (1 + ripple) - supply.sourceResistance * amps;
    });
  }
}

/** V of the mains at the lamp's terminals: a sine. */
export class MainsVoltage implements SignalSource {
  private readonly plant: Plant;

  constructor(plant: Plant) {
    this.plant = plant;
  }

  fill(block: SampleBlock): void {
    const { mainsFrequency } = this.plant.model.supply;
    eachSample(
      this.plant,
      block,
      ({ source }, t) => Math.SQRT2 * source * Math.sin(2 * Math.PI * mainsFrequency * t),
    );
  }
}

/**
 * A from the mains: the rectifier's or corrector's waveform, scaled so that it brings the lamp's power, and what charges the
 * input capacitor.
 */
export class MainsCurrent implements SignalSource {
  private readonly plant: Plant;
  private readonly inrush: InrushCurrent;

  constructor(plant: Plant) {
    this.plant = plant;
    this.inrush = new InrushCurrent(plant);
  }

  fill(block: SampleBlock): void {
    const { supply } = this.plant.model;
    const shape = mainsShape(supply.conduction, supply.thirdHarmonic);
    eachSample(this.plant, block, ({ source, power }, t) => {
      if (source <= 0) return 0;
      const scale = power / (Math.SQRT2 * source);
      return scale * shape(2 * Math.PI * supply.mainsFrequency * t);
    });
    this.inrush.addTo(block);
  }
}

/** Puts `value` into each sample: of the epoch and the instant in its middle, and of what is in it. */
function eachSample(
  { simulation }: Plant,
  { samples, t0, dt }: SampleBlock,
  value: (epoch: Epoch, t: number, before: number) => number,
): void {
  const walk = new EpochWalk(simulation.state, t0);
  for (let k = 0; k < samples.length; k++) {
    const t = t0 + (k + 0.5) * dt;
    samples[k] = value(walk.at(t), t, samples[k] ?? 0);
  }
}
