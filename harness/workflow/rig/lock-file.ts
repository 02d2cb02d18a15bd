import { createHash, randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { link, mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { hostname, userInfo } from 'node:os';
import { dirname, join } from 'node:path';
import { Complaint } from '../complaint.ts';
import { wallClock } from '../wall-clock.ts';

/** Who holds a rig or an instrument; the content of its lock file. */
export interface LockHolder {
  readonly rig: string;
  /** The instrument and its place; absent in the lock of the rig itself. */
  readonly holds?: string;
  readonly owner: string;
  readonly host: string;
  readonly pid: number;
  /** When the process started, as its system counts: pids are used again. */
  readonly born: string | null;
  /** ISO 8601 UTC. */
  readonly since: string;
  /** Of this use of the rig alone; absent in locks of earlier versions. */
  readonly token?: string;
  /** Process that makes the rig safe when the holder dies, and the one that stands in for it. */
  readonly watchdog: number | null;
  readonly second?: number;
}

export function lockFile(rig: string, folder: string): string {
  return join(folder, `evenfall-${rig}.lock`);
}

/** The lock of a place; its name tells people which, its digest tells places apart. */
export function placeLockFile(place: string, folder: string): string {
  const words = place.replace(/[^A-Za-z0-9.]+/g, '-').slice(0, 60);
  const digest = createHash('sha256').update(place).digest('hex').slice(0, 12);
  return join(folder, `evenfall-at-${words}-${digest}.lock`);
}

/** This process as the holder of a rig from now on. */
export function thisProcess(rig: string): LockHolder {
  return {
    rig,
    owner: ownerName(),
    host: hostname(),
    pid: process.pid,
    born: startTimeOf(process.pid),
    since: wallClock.now(),
    token: randomUUID(),
    watchdog: null,
  };
}

export function sameHolder(one: LockHolder, other: LockHolder): boolean {
  return one.pid === other.pid && one.since === other.since && one.token === other.token;
}

/** Who holds a lock; null where nobody does. */
export async function readLock(file: string): Promise<LockHolder | null> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw notUsable(file, error);
  });
  if (text === null) return null;
  try {
    const holder: LockHolder | null = JSON.parse(text);
    if (typeof holder?.pid === 'number') return holder;
  } catch {
    // Said below.
  }
  throw new Complaint(
    'locked',
    `${file} is not a lock of Evenfall; delete it if no run is using the rig`,
  );
}

/** Whether the holder is alive. Nothing can be known of another machine: its processes count as alive. */
export function holderState(holder: LockHolder): 'alive' | 'being made safe' | 'dead' {
  if (holder.host !== hostname()) return 'alive';
  if (isAlive(holder.pid) && startTimeOf(holder.pid) === holder.born) return 'alive';
  const guards = [holder.watchdog, holder.second ?? null];
  return guards.some((pid) => pid !== null && isAlive(pid)) ? 'being made safe' : 'dead';
}

export function holderText({ owner, host, pid, since }: LockHolder): string {
  return `${owner} on ${host} (process ${pid}, since ${since})`;
}

/** Appears with its content or not at all; false where somebody has it. Throws a Complaint where no lock can be written. */
export async function createLock(file: string, holder: LockHolder): Promise<boolean> {
  const scratch = `${file}.${randomUUID()}.new`;
  try {
    await mkdir(dirname(file), { recursive: true });
    await writeFile(scratch, JSON.stringify(holder));
    await link(scratch, file);
    return true;
  } catch (error) {
    const { code, syscall } = error as NodeJS.ErrnoException;
    // A file in the folder's place is EEXIST too, but of another call.
    if (code === 'EEXIST' && syscall === 'link') return false;
    throw notUsable(file, error as NodeJS.ErrnoException);
  } finally {
    await rm(scratch, { force: true }).catch(() => {});
  }
}

/** The same holder, with more known of it. */
export async function rewriteLock(file: string, holder: LockHolder): Promise<void> {
  const scratch = `${file}.${randomUUID()}.new`;
  try {
    await writeFile(scratch, JSON.stringify(holder));
    await rename(scratch, file);
  } catch (error) {
    await rm(scratch, { force: true }).catch(() => {});
    throw notUsable(file, error as NodeJS.ErrnoException);
  }
}

/** Gives a lock up, unless it is another's by now. */
export async function removeLock(file: string, holder: LockHolder): Promise<void> {
  const found = await readLock(file).catch(() => null);
  if (found && sameHolder(found, holder)) await rm(file, { force: true }).catch(() => {});
}

/** Gives up every lock of a holder in a folder: for who was only told of one of them. */
export async function removeAllLocks(folder: string, holder: LockHolder): Promise<void> {
  const names = await readdir(folder).catch(() => []);
  for (const name of names)
    if (/^evenfall-.*\.lock$/.test(name)) await removeLock(join(folder, name), holder);
}

/** When two find the same stale lock, one moves it away; if that was a new one already, it is put back. */
export async function removeStale(file: string, stale: LockHolder): Promise<void> {
  const aside = `${file}.${randomUUID()}.old`;
  try {
    await rename(file, aside);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return;
    throw notUsable(file, error as NodeJS.ErrnoException);
  }
  const moved = await readLock(aside);
  if (moved && !sameHolder(moved, stale)) await link(aside, file).catch(() => {});
  await rm(aside, { force: true });
}

export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

/** What keeps a lock from being written, in a sentence. */
function notUsable(file: string, error: NodeJS.ErrnoException): Complaint {
  const folder = dirname(file);
  const why: Readonly<Record<string, string>> = {
    ENOSPC: 'the disk is full; free some space',
    EDQUOT: 'the quota of the disk is used up; free some space',
    EROFS: 'the file system is read-only',
    EACCES: 'you may not write there',
    EPERM: 'you may not write there',
    EEXIST: 'it is a file; move it away',
    ENOTDIR: 'a part of its path is a file; move it away',
    EISDIR: `there is a folder where the lock ${file} should be; move it away`,
    ENAMETOOLONG: 'its path is too long',
    ELOOP: 'its path is a circle of links',
  };
  const said = why[error.code ?? ''] ?? error.message;
  return new Complaint(
    'cannot-create',
    `no lock can be kept in ${folder}: ${said}, or name another folder with --locks or EVENFALL_LOCKS. Nothing was switched on`,
    { cause: error },
  );
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
