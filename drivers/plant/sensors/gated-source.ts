import { type ChannelState, type Epoch, EpochWalk } from '../epoch.ts';
import { addGateMean, type ChannelPart } from '../modulator/gate-mean.ts';
import type { Plant } from '../plant.ts';
import { partOf, type SampleBlock } from '../sample-block.ts';
import { multiplyByRipple } from '../stage/current-ripple.ts';
import type { SignalSource } from './signal-source.ts';

/** What the gate of one channel does to a signal. */
export interface GatedPart {
  readonly state: ChannelState;
  readonly contribution: ChannelPart;
}

/** How a signal is made up in one epoch: of the channels that have a part in it, and of what no gate switches. */
export interface Mixture {
  readonly parts: readonly GatedPart[];
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

  fill(block: SampleBlock): void {
    const { samples, t0, dt } = block;
    const count = samples.length;
    samples.fill(0);
    const walk = new EpochWalk(this.plant.simulation.state, t0);
    for (let k = 0; k < count; walk.advance()) {
      // Epochs change on whole samples: what they change is slow.
      const end = Math.min(count, Math.ceil((walk.end - t0) / dt));
      if (end > k) this.addEpoch(partOf(block, k, end), walk.present);
      k = Math.max(k, end);
    }
    multiplyByRipple(block, this.plant.model);
  }

  mixture(epoch: Epoch): Mixture {
    let mixture = this.mixtures.get(epoch);
    if (!mixture) {
      mixture = this.mix(epoch);
      this.mixtures.set(epoch, mixture);
    }
    return mixture;
  }

  private addEpoch(block: SampleBlock, epoch: Epoch): void {
    const { samples } = block;
    const { parts, constant } = this.mixture(epoch);
    if (constant !== 0)
      for (let k = 0; k < samples.length; k++) samples[k] = (samples[k] ?? 0) + constant;
    for (const { state, contribution } of parts)
      addGateMean(block, state.output.line, this.plant.model.stage, contribution);
  }
}
