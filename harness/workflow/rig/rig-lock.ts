import { readFileSync } from 'node:fs';
import { link, mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { hostname, tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import { Complaint } from '../complaint.ts';

/** Who holds a rig; the content of its lock file. */
export interface LockHolder {
  readonly rig: string;
  readonly owner: string;
  readonly host: string;
  readonly pid: number;
  /** When the process was started, as its system counts: another process of the same number is not the same. */
  readonly born: string | null;
  /** ISO 8601 UTC. */
  readonly since: string;
  /** Process that makes the rig safe when the holder dies. */
  readonly watchdog: number | null;
}

type Environment = Readonly<Record<string, string | undefined>>;

/** How long a rig whose holder died is waited for: its watchdog is making it safe, s. */
const watchdogTime = 15;
const pollEvery = 100;

/**
 * The one lock of a rig on this machine, by the rig's name. `EVENFALL_LOCKS` names a folder that several machines share,
 * where several can reach the same instruments.
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
    env: Environment,
    onTakenOver: (left: LockHolder) => void,
  ): Promise<RigLock> {
    const file = lockFile(rig, env);
    const holder: LockHolder = {
      rig,
      owner: ownerName(),
      host: hostname(),
      pid: process.pid,
      born: birthOf(process.pid),
      since: new Date().toISOString(),
      watchdog: null,
    };
    for (const start = performance.now(); ; ) {
      if (await createLock(file, holder)) return new RigLock(file, holder);
      const found = await readLock(file);
      if (found === null) continue;
      const state = stateOf(found);
      const patient = performance.now() - start < watchdogTime * 1000;
      if (state === 'abandoned') {
        onTakenOver(found);
        await takeAway(file, found);
      } else if (state === 'being made safe' && patient) {
        await new Promise((resolve) => setTimeout(resolve, pollEvery));
      } else throw locked(found, file);
    }
  }

  /** Writes down who makes the rig safe if this process dies. */
  async guardedBy(watchdog: number): Promise<void> {
    this.#holder = { ...this.#holder, watchdog };
    const scratch = `${this.file}.${process.pid}`;
    await writeFile(scratch, JSON.stringify(this.#holder));
    await rename(scratch, this.file);
  }

  async release(): Promise<void> {
    const found = await readLock(this.file);
    if (found && found.pid === this.#holder.pid && found.since === this.#holder.since)
      await rm(this.file, { force: true });
  }
}

export function lockFile(rig: string, env: Environment): string {
  return join(env['EVENFALL_LOCKS'] ?? tmpdir(), `evenfall-${rig}.lock`);
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
      `${file} is not a lock of Evenfall; delete it if no run is under way`,
      { cause: error },
    );
  }
}

/** Whether the holder lives. Of another machine nothing can be known: it counts as living. */
export function stateOf(holder: LockHolder): 'held' | 'being made safe' | 'abandoned' {
  if (holder.host !== hostname()) return 'held';
  if (isAlive(holder.pid) && birthOf(holder.pid) === holder.born) return 'held';
  return holder.watchdog !== null && isAlive(holder.watchdog) ? 'being made safe' : 'abandoned';
}

export function describe({ owner, host, pid, since }: LockHolder): string {
  return `${owner} on ${host} (process ${pid}, since ${since})`;
}

function locked(holder: LockHolder, file: string): Complaint {
  const elsewhere = holder.host === hostname() ? '' : `; if that machine is gone, delete ${file}`;
  return new Complaint(
    'locked',
    `rig ${holder.rig} is in use by ${describe(holder)}; wait until it ends${elsewhere}`,
  );
}

/** Appears with its content or not at all. */
async function createLock(file: string, holder: LockHolder): Promise<boolean> {
  const scratch = `${file}.${process.pid}.new`;
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

/** Of two that find the same lock abandoned one moves it away; if it was a new one already, it is put back. */
async function takeAway(file: string, stale: LockHolder): Promise<void> {
  const aside = `${file}.${process.pid}.old`;
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
function birthOf(pid: number): string | null {
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
