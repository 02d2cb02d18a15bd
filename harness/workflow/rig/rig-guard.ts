import { readFileSync } from 'node:fs';
import { uptime } from 'node:os';
import { setTimeout } from 'node:timers/promises';
import type { Worker } from 'node:worker_threads';
import { BenchError } from '../../bench/errors.ts';
import { startWorker } from '../entry-point.ts';
import { type LockHolder, sameHolder } from './lock-file.ts';
import { beatEvery, createPulse, pulseFile, removePulse, stoppedAfter } from './pulse.ts';
import type { RigLock } from './rig-lock.ts';
import { readTakenNote } from './taken-note.ts';

/** What the heart is handed: its pulse file, and figures that both threads see. */
export interface HeartData {
  readonly file: string;
  readonly shared: SharedArrayBuffer;
}

/** Seconds since boot of the last beat; the longest pause between two; the last sign of life of the main thread. */
export const heartPlaces = { lastBeat: 0, longestGap: 1, mainAlive: 2 } as const;

/** So long, s, the main thread may be busy with one thing, such as judging a long record, before it counts as hung. */
export const hungAfter = 120;

/** After a pause of so many seconds the rig may have been switched off from outside: shorter than the watchdogs wait. */
const longestPause = stoppedAfter - 1;

/**
 * Whether a rig is still ours, asked before anything is sent to an instrument and before a verdict is kept. It is lost
 * when somebody switched it off by force, when a watchdog died or took it, when its lock is gone, or when this process
 * did not run for some seconds. What is lost stays lost: the run ends.
 */
export class RigGuard {
  readonly #lock: Pick<RigLock, 'file' | 'folder' | 'holder'>;
  readonly #file: string;
  readonly #figures = new Float64Array(new SharedArrayBuffer(3 * 8));
  readonly #heart: Worker;
  readonly #timer: NodeJS.Timeout;
  readonly #abort = new AbortController();
  #lost: string | null = null;
  #othersNow = false;

  private constructor(lock: Pick<RigLock, 'file' | 'folder' | 'holder'>) {
    this.#lock = lock;
    this.#file = pulseFile(lock.holder.token ?? '', 'run');
    createPulse(this.#file);
    // Until the first beat nothing is missed.
    this.#figures[heartPlaces.lastBeat] = Number.POSITIVE_INFINITY;
    this.#figures[heartPlaces.mainAlive] = uptime();
    this.#heart = this.#startHeart();
    this.#timer = setInterval(() => this.#look(), beatEvery);
    this.#timer.unref();
  }

  /** Resolves when the heart beats. Throws a Complaint where no pulse can be kept. */
  static async start(lock: Pick<RigLock, 'file' | 'folder' | 'holder'>): Promise<RigGuard> {
    const guard = new RigGuard(lock);
    while (
      guard.#figures[heartPlaces.lastBeat] === Number.POSITIVE_INFINITY &&
      guard.#lost === null
    )
      await setTimeout(beatEvery / 10);
    return guard;
  }

  /** Aborts when the rig is lost. */
  get signal(): AbortSignal {
    return this.#abort.signal;
  }

  /** The lock of the rig is somebody else's by now: nothing may be sent to its instruments. */
  get othersNow(): boolean {
    return this.#othersNow;
  }

  /** Why the rig is lost, as of this moment; null while it is ours. */
  lost(): string | null {
    this.#lost ??= this.#pauseText() ?? this.#takenText();
    if (this.#lost !== null && !this.#abort.signal.aborted) this.#abort.abort('rig lost');
    return this.#lost;
  }

  /** Somebody else has found out. */
  lose(why: string): void {
    this.#lost ??= why;
    this.lost();
  }

  /** For what is about to be sent to `instrument`. Throws where the rig is lost; it reads no file. */
  mustHold(instrument: string): void {
    this.#lost ??= this.#pauseText();
    if (this.#lost === null) return;
    this.lost();
    throw new BenchError('closed', instrument, this.#lost);
  }

  async close(): Promise<void> {
    clearInterval(this.#timer);
    await this.#heart.terminate();
    removePulse(this.#file);
  }

  #look(): void {
    // Before the sign of life: a pause must be seen first.
    this.lost();
    this.#figures[heartPlaces.mainAlive] = uptime();
  }

  #startHeart(): Worker {
    const data: HeartData = {
      file: this.#file,
      shared: this.#figures.buffer as unknown as SharedArrayBuffer,
    };
    const heart = startWorker('rig/heart', { workerData: data });
    heart.on('error', (error) =>
      this.lose(`the run's own sign of life has stopped (${String(error)}); start the run again`),
    );
    heart.unref();
    return heart;
  }

  #pauseText(): string | null {
    const [lastBeat = 0, longestGap = 0] = this.#figures;
    const pause = Math.max(longestGap, uptime() - lastBeat);
    if (pause < longestPause) return null;
    return `Evenfall did not run for ${pause.toFixed(1)} s (stopped, swapped out, or the computer slept), and its watchdogs may have switched the rig off meanwhile; resume the run`;
  }

  #takenText(): string | null {
    const { file, folder, holder } = this.#lock;
    const note = readTakenNote(folder, holder.token ?? '');
    if (note) return note.why;
    try {
      const found: LockHolder = JSON.parse(readFileSync(file, 'utf8'));
      if (sameHolder(found, holder)) return null;
      this.#othersNow = true;
      return `the lock of the rig (${file}) is held by process ${found.pid} on ${found.host} by now; never delete the lock of a run that lives`;
    } catch (error) {
      // A shared folder may be out of reach for a while.
      if ((error as NodeJS.ErrnoException).code !== 'ENOENT') return null;
      return `the lock of the rig (${file}) is gone; never delete the lock of a run that lives`;
    }
  }
}
