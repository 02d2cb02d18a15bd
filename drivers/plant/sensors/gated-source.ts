import type { Epoch } from '../lamp-state.ts';
import { addGateMean, type Contribution } from '../modulator/gate-mean.ts';
import type { Plant } from '../plant.ts';
import { multiplyByRipple } from '../stage/current-ripple.ts';
import type { SignalSource } from './signal-source.ts';

/** How the channels make up a signal in one epoch. */
export interface Mixture {
  /** null: the channel has no part in it. */
  readonly channels: readonly (Contribution | null)[];
  readonly constant: number;
}

export type Mixer = (epoch: Epoch) => Mixture;

/** Any signal that is a sum over the channels' gates: mixed light, one channel's current, the supply's current. */
export class GatedSource implements SignalSource {
  private readonly plant: Plant;
  private readonly mix: Mixer;
  private readonly mixtures = new Map<Epoch, Mixture>();

  constructor(plant: Plant, mix: Mixer) {
    this.plant = plant;
    this.mix = mix;
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    block.fill(0, 0, count);
    const { epochs } = this.plant.simulation.state;
    let k = 0;
    for (let index = epochAt(epochs, t0); k < count; index++) {
      const next = epochs[index + 1];
      // Epochs change on whole samples: what they change is slow.
      const end = next ? Math.min(count, Math.ceil((next.from - t0) / dt)) : count;
      if (end > k) this.addEpoch(block.subarray(k, end), end - k, t0 + k * dt, dt, epochs[index]!);
      k = Math.max(k, end);
    }
    multiplyByRipple(block, count, t0, dt, this.plant.model);
  }

  mixture(epoch: Epoch): Mixture {
    let mixture = this.mixtures.get(epoch);
    if (!mixture) {
      mixture = this.mix(epoch);
      this.mixtures.set(epoch, mixture);
    }
    return mixture;
  }

  private addEpoch(out: Float32Array, count: number, t0: number, dt: number, epoch: Epoch): void {
    const { simulation, model } = this.plant;
    const { channels, constant } = this.mixture(epoch);
    if (constant !== 0) for (let k = 0; k < count; k++) out[k]! += constant;
    channels.forEach((contribution, index) => {
      if (!contribution) return;
      addGateMean(out, count, t0, dt, simulation.lines[index]!, model.stage, contribution);
    });
  }
}

/** Index of the epoch in force at `t`; the first one before all. */
export function epochAt(epochs: readonly Epoch[], t: number): number {
  let low = 0;
  let high = epochs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (epochs[middle]!.from <= t) low = middle + 1;
    else high = middle;
  }
  return Math.max(0, low - 1);
}
