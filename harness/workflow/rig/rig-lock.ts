import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { link, mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { hostname, userInfo } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { Complaint } from '../complaint.ts';
import { wallClock } from '../wall-clock.ts';

/** Who holds a rig; the content of its lock file. */
export interface LockHolder {
  readonly rig: string;
  readonly owner: string;
  readonly host: string;
  readonly pid: number;
  /** When the process started, as its system counts: pids are used again. */
  readonly born: string | null;
  /** ISO 8601 UTC. */
  readonly since: string;
  /** Process that makes the rig safe when the holder dies. */
  readonly watchdog: number | null;
}

/** How long to wait for a rig whose holder has died, while its watchdog makes it safe, s. */
const watchdogTime = 15;
/** ms */
const pollInterval = 100;

/**
 * The one lock of a rig in a folder of locks, by the rig's name. It is stale when its process has died, never when it has
 * merely not been touched: the usual lock libraries go by the age of a file, and would hand over a rig whose holder is
 * suspended or busy, lamp on. They also cannot name the holder, nor wait for its watchdog.
 */
export class RigLock {
  readonly file: string;
  #holder: LockHolder;

  private constructor(file: string, holder: LockHolder) {
    this.file = file;
    this.#holder = holder;
  }

  /**
   * Takes the lock, or throws a Complaint `locked` that says who has it. A lock left by a dead process is taken over, and
   * `onTakenOver` hears whose it was.
   */
  static async acquire(
    rig: string,
    folder: string,
    onTakenOver: (from: LockHolder) => void,
  ): Promise<RigLock> {
    const file = lockFile(rig, folder);
    const holder = thisProcess(rig);
    const deadline = performance.now() + watchdogTime * 1000;
    while (!(await createLock(file, holder))) {
      const found = await readLock(file);
      if (found === null) continue;
      const state = holderState(found);
      if (state === 'dead') {
        onTakenOver(found);
        await removeStale(file, found);
      } else if (state === 'being made safe' && performance.now() < deadline) {
        await setTimeout(pollInterval);
      } else throw locked(found, file);
    }
    return new RigLock(file, holder);
  }

  /** Records the process that makes the rig safe if this one dies. */
  async guardedBy(watchdog: number): Promise<void> {
    this.#holder = { ...this.#holder, watchdog };
    const scratch = `${this.file}.${randomUUID()}.new`;
    await writeFile(scratch, JSON.stringify(this.#holder));
    await rename(scratch, this.file);
  }

  async release(): Promise<void> {
    const found = await readLock(this.file);
    if (found && found.pid === this.#holder.pid && found.since === this.#holder.since)
      await rm(this.file, { force: true });
  }
}

export function lockFile(rig: string, folder: string): string {
  return join(folder, `evenfall-${rig}.lock`);
}

function thisProcess(rig: string): LockHolder {
  return {
    rig,
    owner: ownerName(),
    host: hostname(),
    pid: process.pid,
    born: startTimeOf(process.pid),
    since: wallClock.now(),
    watchdog: null,
  };
}

/** Who holds a rig; null where nobody does. */
export async function readLock(file: string): Promise<LockHolder | null> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw error;
  });
  if (text === null) return null;
  try {
    return JSON.parse(text) as LockHolder;
  } catch (error) {
    throw new Complaint(
      'locked',
      `${file} is not a lock of Evenfall; delete it if no run is using the rig`,
      { cause: error },
    );
  }
}

/** Whether the holder is alive. Nothing can be known of another machine: its processes count as alive. */
export function holderState(holder: LockHolder): 'alive' | 'being made safe' | 'dead' {
  if (holder.host !== hostname()) return 'alive';
  if (isAlive(holder.pid) && startTimeOf(holder.pid) === holder.born) return 'alive';
  return holder.watchdog !== null && isAlive(holder.watchdog) ? 'being made safe' : 'dead';
}

export function holderText({ owner, host, pid, since }: LockHolder): string {
  return `${owner} on ${host} (process ${pid}, since ${since})`;
}

function locked(holder: LockHolder, file: string): Complaint {
  const elsewhere = holder.host === hostname() ? '' : `; if that machine is gone, delete ${file}`;
  return new Complaint(
    'locked',
    `rig ${holder.rig} is in use by ${holderText(holder)}; wait until it ends${elsewhere}`,
  );
}

/** Appears with its content or not at all. */
async function createLock(file: string, holder: LockHolder): Promise<boolean> {
  const scratch = `${file}.${randomUUID()}.new`;
  await mkdir(join(file, '..'), { recursive: true });
  await writeFile(scratch, JSON.stringify(holder));
  try {
    await link(scratch, file);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  } finally {
    await rm(scratch, { force: true });
  }
}

/** When two find the same stale lock, one moves it away; if that was a new one already, it is put back. */
async function removeStale(file: string, stale: LockHolder): Promise<void> {
  const aside = `${file}.${randomUUID()}.old`;
  try {
    await rename(file, aside);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return;
    throw error;
  }
  const moved = await readLock(aside);
  if (moved && (moved.pid !== stale.pid || moved.since !== stale.since))
    await link(aside, file).catch(() => {});
  await rm(aside, { force: true });
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

/** Start time of a process in clock ticks since boot (Linux: field 22 of /proc/PID/stat); null elsewhere. */
function startTimeOf(pid: number): string | null {
  try {
    const text = readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The name in field 2 may hold anything, but ends with the last bracket.
    const fields = text.slice(text.lastIndexOf(')') + 2).split(' ');
    return fields[0] === 'Z' ? null : (fields[19] ?? null);
  } catch {
    return null;
  }
}

function ownerName(): string {
  try {
    return userInfo().username;
  } catch {
    return `user ${process.getuid?.() ?? 'unknown'}`;
  }
}
