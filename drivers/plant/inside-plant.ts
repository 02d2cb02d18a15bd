import type { DriveTrack } from '../../harness/bench/drive-track.ts';
import type { InsideLamp, RawCapture } from '../../harness/bench/ports.ts';
import type { Rig, Wire } from '../../harness/bench/rig.ts';
import type { DriveKeeper } from './firmware/drive-keeper.ts';
import type { Transcript } from './firmware/transcript.ts';
import { channelOf } from './instruments/channel-of.ts';
import type { Plant } from './plant.ts';
import { NoiseSource } from './sensors/noise-source.ts';
import { recordInput } from './sensors/record-input.ts';
import { sourceOf } from './sensors/sources.ts';

/** Of a converter whose steps nobody sees. */
const bits = 24;
const withoutError = { scale: 0, offset: 0, timeBase: 0 };

/** What was kept of it while it ran. */
interface Kept {
  readonly drives: DriveKeeper;
  readonly transcript: Transcript;
}

/** What goes on inside the simulated lamp, read off its time line afterwards: nothing is drawn for it, and nothing moves. */
export class InsidePlant implements InsideLamp {
  readonly #plant: Plant;
  readonly #rig: Rig;
  readonly #kept: Kept;

  constructor(plant: Plant, rig: Rig, kept: Kept) {
    this.#plant = plant;
    this.#rig = rig;
    this.#kept = kept;
  }

  drives(): readonly DriveTrack[] {
    return this.#kept.drives.tracks();
  }

  transcript(): string | null {
    return this.#kept.transcript.text();
  }

  record(
    wire: Wire,
    of: string,
    span: { readonly start: number; readonly rate: number; readonly samples: number },
  ): RawCapture {
    const plant = this.#plant;
    const source = sourceOf(plant, wire, channelOf(plant.lamp, this.#rig, wire, of));
    if (!source) throw new Error(`${wire.signal} is no waveform`);
    const fine = { ...wire, bits };
    const noise = { source: new NoiseSource(0, 'none'), factor: 0 };
    return recordInput(plant, source, {
      wire: fine,
      ...span,
      point: false,
      error: withoutError,
      noise,
    });
  }
}
