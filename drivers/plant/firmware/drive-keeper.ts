import type { DriveTrack } from '../../../harness/bench/drive-track.ts';
import type { Told, WallListener } from './overheard-firmware.ts';

/** Changes of a channel that are kept: dithering at the control rate makes a thousand a second. */
const mostChanges = 100_000;

interface Kept {
  full: number;
  readonly at: number[];
  readonly values: number[];
  until: number | null;
}

/** Keeps what firmware sets the drive of each channel to. */
export class DriveKeeper implements WallListener {
  readonly #now: () => number;
  readonly #channels: readonly string[];
  readonly #kept: readonly Kept[];

  /** `now`: s on the bench's clock. */
  constructor(channels: readonly string[], now: () => number) {
    this.#now = now;
    this.#channels = channels;
    this.#kept = channels.map(() => ({ full: 1, at: [], values: [], until: null }));
  }

  /** After power-up and reset nothing drives a channel. */
  called(call: unknown): void {
    if (call === 'start') for (const kept of this.#kept) this.#keep(kept, 0);
  }

  told(told: Told): void {
    if (told.kind !== 'drive' && told.kind !== 'modulator') return;
    const kept = this.#kept[told.channel];
    if (!kept) return;
    if (told.kind === 'modulator') kept.full = 2 ** told.setup.bits;
    this.#keep(kept, told.kind === 'drive' ? told.value : 0);
  }

  tracks(): readonly DriveTrack[] {
    return this.#kept.map((kept, index) => ({ channel: this.#channels[index] ?? '', ...kept }));
  }

  #keep(kept: Kept, value: number): void {
    const { at, values } = kept;
    const now = this.#now();
    if (values.at(-1) === value || kept.until !== null) return;
    if (at.at(-1) === now) values[values.length - 1] = value;
    else if (at.length === mostChanges) kept.until = now;
    else {
      at.push(now);
      values.push(value);
    }
  }
}
