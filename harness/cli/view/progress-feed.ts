import { type RunState, runState } from './archived-run.ts';
import { JournalFollower } from './live-progress.ts';

/** How often the journal is looked at, ms. */
const pause = 500;

/** The whole progress of a run, as JSON, each time it changed. */
export interface Told {
  /** From 1. */
  readonly turn: number;
  readonly data: string;
  /** The run is sealed or cut off: nothing follows. */
  readonly last: boolean;
}

/** The progress of one run, looked at once for however many pages that show it, and for as long as there is one. */
export class ProgressFeed {
  readonly #folder: string;
  readonly #onEmpty: () => void;
  #readers = 0;
  #told: Told | null = null;
  #waiting: ((told: Told | null) => void)[] = [];

  /** `onEmpty` is called when the last reader has left. */
  constructor(folder: string, onEmpty: () => void) {
    this.#folder = folder;
    this.#onEmpty = onEmpty;
  }

  /** Must be followed by one `leave`. */
  join(): void {
    this.#readers++;
    if (this.#readers === 1) void this.#look().catch(() => this.#end());
  }

  leave(): void {
    this.#readers--;
    if (this.#readers === 0) this.#end();
  }

  /** What was told after a turn, at once where there is something; null where nothing more comes. */
  after(turn: number): Promise<Told | null> {
    if (this.#told && this.#told.turn > turn) return Promise.resolve(this.#told);
    if (this.#told?.last) return Promise.resolve(null);
    return new Promise((resolve) => this.#waiting.push(resolve));
  }

  async #look(): Promise<void> {
    const follower = await JournalFollower.open(this.#folder);
    while (this.#readers > 0) {
      const state: RunState = await runState(this.#folder);
      this.#tell(JSON.stringify({ state, ...(await follower.read()) }), state !== 'running');
      if (state !== 'running') return this.#end();
      await new Promise((go) => setTimeout(go, pause));
    }
  }

  #tell(data: string, last: boolean): void {
    if (data === this.#told?.data) return;
    this.#told = { turn: (this.#told?.turn ?? 0) + 1, data, last };
    for (const resolve of this.#waiting.splice(0)) resolve(this.#told);
  }

  #end(): void {
    this.#onEmpty();
    for (const resolve of this.#waiting.splice(0)) resolve(null);
  }
}

/** The feeds of all runs that somebody looks at. */
export class ProgressFeeds {
  readonly #feeds = new Map<string, ProgressFeed>();

  of(folder: string): ProgressFeed {
    const known = this.#feeds.get(folder);
    if (known) return known;
    const feed = new ProgressFeed(folder, () => {
      if (this.#feeds.get(folder) === feed) this.#feeds.delete(folder);
    });
    this.#feeds.set(folder, feed);
    return feed;
  }
}
