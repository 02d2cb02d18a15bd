import { hostname } from 'node:os';
import { setTimeout } from 'node:timers/promises';
import { Complaint } from '../complaint.ts';
import {
  createLock,
  holderState,
  holderText,
  type LockHolder,
  lockFile,
  placeLockFile,
  readLock,
  removeLock,
  removeStale,
  rewriteLock,
  sameHolder,
  thisProcess,
} from './lock-file.ts';

/** An instrument of a rig and the places by which two rig files can mean the same one. */
export type Places = ReadonlyMap<string, readonly string[]>;

/** How long to wait for a rig whose holder has died, while its watchdog makes it safe, s. */
const watchdogTime = 30;
/** ms */
const pollInterval = 100;

/**
 * The locks of a rig in a folder of locks: one by the rig's name, and one for each place of its instruments, so that two rig
 * files that share an instrument keep out of each other's way. A lock is stale when its process has died, never when it has
 * merely not been touched: the usual lock libraries go by the age of a file, and would hand over a rig whose holder is
 * suspended or busy, lamp on. They also cannot name the holder, nor wait for its watchdog.
 */
export class RigLock {
  /** Of the rig itself. */
  readonly file: string;
  readonly folder: string;
  #holder: LockHolder;
  readonly #files = new Map<string, LockHolder>();
  readonly #onTakenOver: (from: LockHolder) => void;

  private constructor(
    file: string,
    folder: string,
    holder: LockHolder,
    onTakenOver: (from: LockHolder) => void,
  ) {
    this.file = file;
    this.folder = folder;
    this.#holder = holder;
    this.#onTakenOver = onTakenOver;
  }

  get holder(): LockHolder {
    return this.#holder;
  }

  /**
   * Takes the locks, or throws a Complaint: `locked` says who has one of them, `cannot-create` why none can be kept. A lock
   * left by a dead process is taken over, and `onTakenOver` hears whose it was.
   */
  static async acquire(
    rig: string,
    folder: string,
    onTakenOver: (from: LockHolder) => void,
    places: Places = new Map(),
  ): Promise<RigLock> {
    const lock = new RigLock(lockFile(rig, folder), folder, thisProcess(rig), onTakenOver);
    try {
      await lock.#take(lock.file, lock.#holder);
      await lock.hold(places);
      return lock;
    } catch (error) {
      await lock.release();
      throw error;
    }
  }

  /** Locks further places, such as serial numbers once they are known. Throws as `acquire` does; what it holds it keeps. */
  async hold(places: Places): Promise<void> {
    const wanted = [...places].flatMap(([instrument, own]) =>
      own.map((place) => [placeLockFile(place, this.folder), `${instrument} (${place})`] as const),
    );
    // Always in one order, whoever asks.
    for (const [file, holds] of wanted.sort(([a], [b]) => (a < b ? -1 : 1)))
      if (!this.#files.has(file)) await this.#take(file, { ...this.#holder, holds });
  }

  /** Records the processes that make the rig safe if this one dies. */
  async guardedBy(watchdog: number, second?: number): Promise<void> {
    const guards = { watchdog, ...(second !== undefined && { second }) };
    this.#holder = { ...this.#holder, ...guards };
    for (const [file, holder] of this.#files) {
      const guarded = { ...holder, ...guards };
      await rewriteLock(file, guarded);
      this.#files.set(file, guarded);
    }
  }

  async release(): Promise<void> {
    for (const [file, holder] of this.#files) await removeLock(file, holder);
    this.#files.clear();
  }

  async #take(file: string, holder: LockHolder): Promise<void> {
    const deadline = performance.now() + watchdogTime * 1000;
    while (!(await createLock(file, holder))) {
      const found = await readLock(file);
      if (found === null) continue;
      const state = holderState(found);
      if (state === 'dead') {
        if (file === this.file) this.#onTakenOver(found);
        await removeStale(file, found);
      } else if (state === 'being made safe' && performance.now() < deadline) {
        await setTimeout(pollInterval);
      } else throw locked(found, file, holder.holds);
    }
    this.#files.set(file, holder);
  }
}

/** Who uses a rig or one of its instruments; each holder once. */
export async function lockHolders(
  rig: string,
  folder: string,
  places: Places,
): Promise<readonly LockHolder[]> {
  const files = [...places.values()].flat().map((place) => placeLockFile(place, folder));
  const holders: LockHolder[] = [];
  for (const file of [lockFile(rig, folder), ...files]) {
    const found = await readLock(file);
    const known = found === null || holders.some((holder) => sameHolder(holder, found));
    if (!known && holderState(found) !== 'dead') holders.push(found);
  }
  return holders;
}

function locked(holder: LockHolder, file: string, wanted: string | undefined): Complaint {
  const { rig, holds, host } = holder;
  const what = wanted === undefined ? `rig ${rig}` : wanted;
  const as = holds === undefined ? '' : `, as ${holds} of rig ${rig}`;
  const gone = host === hostname() ? '' : `; if that machine is gone, delete ${file}`;
  return new Complaint(
    'locked',
    `${what} is in use by ${holderText(holder)}${as}; wait until it ends${gone}`,
  );
}
