import { rm, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { ArchiveError } from './archive-error.ts';
import { readPlainFile } from './plain-file.ts';

/** Lies in a run folder while a process writes to it. */
export const writerMark = 'writer.lock';

/** Folders that this very process writes to: its own number may be that of a dead one (the first process of a container). */
const own = new Set<string>();

/** Marks the folder as being written to. Rejects with `busy` when another process that still lives does so. */
export async function markWriter(folder: string): Promise<void> {
  if (await isBeingWritten(folder)) {
    const [pid] = await readMark(folder);
    const sentence = `the process ${pid} is still writing to ${folder}; wait for its end, or remove ${writerMark} there if that process is no run`;
    throw new ArchiveError('busy', sentence);
  }
  await writeFile(join(folder, writerMark), `${process.pid} ${hostname()}`);
  own.add(folder);
}

/** Whether this process, or another that still lives on this machine, writes to the folder. */
export async function isBeingWritten(folder: string): Promise<boolean> {
  const [pid, host] = await readMark(folder);
  return own.has(folder) || (host === hostname() && isOtherAlive(Number(pid)));
}

async function readMark(folder: string): Promise<string[]> {
  const bytes = await readPlainFile(join(folder, writerMark)).catch(() => '');
  return bytes.toString().split(' ');
}

export async function clearWriterMark(folder: string): Promise<void> {
  await rm(join(folder, writerMark), { force: true });
  own.delete(folder);
}

/** Whether the number is that of a living process, and not of this one. */
export function isOtherAlive(pid: number): boolean {
  if (!Number.isInteger(pid) || pid <= 0 || pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}
