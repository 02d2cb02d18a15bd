import { createHash, randomUUID } from 'node:crypto';
import { link, rm, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { setTimeout as pause } from 'node:timers/promises';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { readPlainFile } from './plain-file.ts';
import { isOtherAlive } from './writer-mark.ts';

/** Marks of locks that this very process holds: its number may be that of a dead one (the first process of a container). */
const own = new Set<string>();

/** How often is looked, and how often in all: some 10 s, far more than a signature takes. */
const pauseMs = 50;
const mostLooks = 200;

/**
 * Runs `work` while nobody else does under the same lock file. A lock whose process died on this computer is taken over.
 * Rejects with `busy` where somebody keeps it, with `not-writable` or `full` where none can be made.
 */
export async function withFileLock<Result>(
  file: string,
  work: () => Promise<Result>,
): Promise<Result> {
  const mark = `${process.pid} ${hostname()} ${randomUUID()}`;
  // Known before it can be seen: others in this process would take it for that of a dead one.
  own.add(mark);
  try {
    for (let looks = 0; !(await makeLock(file, mark)); looks++) {
      if (await removeStale(file)) continue;
      if (looks >= mostLooks) throw await busy(file);
      await pause(pauseMs);
    }
    try {
      return await work();
    } finally {
      await removeLock(file, mark);
    }
  } finally {
    own.delete(mark);
  }
}

/** Appears with its content or not at all; false where somebody has it. */
async function makeLock(file: string, mark: string): Promise<boolean> {
  const scratch = `${file}.${randomUUID()}`;
  try {
    await writeFile(scratch, mark, { flag: 'wx' });
    await link(scratch, file);
    return true;
  } catch (error) {
    const { code, syscall } = error as NodeJS.ErrnoException;
    if (code === 'EEXIST' && syscall === 'link') return false;
    throw fileSystemError(error, `making the lock ${file}`);
  } finally {
    await rm(scratch, { force: true }).catch(() => {});
  }
}

/**
 * Whether the lock may be free now. Of those who find the same stale lock one at a time removes it, under a lock named after its mark:
 * whoever comes later finds another mark there, and leaves it alone.
 */
async function removeStale(file: string): Promise<boolean> {
  const mark = await markIn(file);
  if (mark === null) return true;
  if (isHeld(mark)) return false;
  const name = createHash('sha256').update(mark).digest('hex').slice(0, 16);
  await withFileLock(`${file}.${name}`, () => removeLock(file, mark));
  return true;
}

/** Only where it is still the one of this mark. */
async function removeLock(file: string, mark: string): Promise<void> {
  if ((await markIn(file)) === mark) await rm(file, { force: true });
}

/** Nothing can be known of another computer: its processes count as alive. */
function isHeld(mark: string): boolean {
  const [pid = '', host] = mark.split(' ');
  return own.has(mark) || host !== hostname() || isOtherAlive(Number(pid));
}

async function markIn(file: string): Promise<string | null> {
  try {
    return (await readPlainFile(file)).toString('utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}

async function busy(file: string): Promise<ArchiveError> {
  const [pid, host] = ((await markIn(file)) ?? '').split(' ');
  const text = `the process ${pid} on ${host} is signing, and does not end; wait for it, or remove ${file} if that process is no signing`;
  return new ArchiveError('busy', text);
}
