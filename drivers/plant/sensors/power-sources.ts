import type { Epoch } from '../lamp-state.ts';
import type { Plant } from '../plant.ts';
import { mainsShape } from '../stage/mains-current.ts';
import { epochAt, type GatedSource } from './gated-source.ts';
import type { SignalSource } from './signal-source.ts';

/** A from the DC supply: the stages' current behind the input filter (one pole). */
export class SupplyCurrent implements SignalSource {
  private readonly plant: Plant;
  private readonly load: GatedSource;
  private pole: number | null = null;

  constructor(plant: Plant, load: GatedSource) {
    this.plant = plant;
    this.load = load;
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    this.load.fill(block, count, t0, dt);
    const a = dt / this.plant.model.supply.inputFilter;
    const decay = Math.exp(-a);
    const leak = -Math.expm1(-a) / a;
    let pole = this.pole ?? block[0] ?? 0;
    for (let k = 0; k < count; k++) {
      const u = block[k]!;
      const away = pole - u;
      pole = u + away * decay;
      block[k] = u + away * leak;
    }
    this.pole = pole;
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

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    this.current.fill(block, count, t0, dt);
    const { supply } = this.plant.model;
    const { epochs } = this.plant.simulation.state;
    for (let k = 0; k < count; k++) {
      const t = t0 + (k + 0.5) * dt;
      const { source } = epochs[epochAt(epochs, t)]!;
      const ripple = supply.ripple * Math.sin(4 * Math.PI * supply.mainsFrequency * t);
      block[k] = source * (1 + ripple) - supply.sourceResistance * block[k]!;
    }
  }
}

/** V of the mains at the lamp's terminals: a sine. */
export class MainsVoltage implements SignalSource {
  private readonly plant: Plant;

  constructor(plant: Plant) {
    this.plant = plant;
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    const { mainsFrequency } = this.plant.model.supply;
    eachSample(
      this.plant,
      block,
      count,
      t0,
      dt,
      ({ source }, t) => Math.SQRT2 * source * Math.sin(2 * Math.PI * mainsFrequency * t),
    );
  }
}

/** A from the mains: the rectifier's or corrector's waveform, scaled so that it brings the lamp's power. */
export class MainsCurrent implements SignalSource {
  private readonly plant: Plant;

  constructor(plant: Plant) {
    this.plant = plant;
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    const { supply } = this.plant.model;
    const shape = mainsShape(supply.conduction, supply.thirdHarmonic);
    eachSample(this.plant, block, count, t0, dt, ({ source, power }, t) => {
      if (source <= 0) return 0;
      const scale = power / (Math.SQRT2 * source);
      return scale * shape(2 * Math.PI * supply.mainsFrequency * t);
    });
  }
}

function eachSample(
  { simulation }: Plant,
  block: Float32Array,
  count: number,
  t0: number,
  dt: number,
  value: (epoch: Epoch, t: number) => number,
): void {
  const { epochs } = simulation.state;
  let index = epochAt(epochs, t0);
  for (let k = 0; k < count; k++) {
    const t = t0 + (k + 0.5) * dt;
    while (index + 1 < epochs.length && epochs[index + 1]!.from <= t) index++;
    block[k] = value(epochs[index]!, t);
  }
}
