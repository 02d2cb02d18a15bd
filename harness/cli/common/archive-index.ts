import { rmSync } from 'node:fs';
import { access, constants } from 'node:fs/promises';
import { join } from 'node:path';
import { indexFile, openIndex, type RunIndex } from '../../archive/open-index.ts';
import { syncIndex } from '../../archive/sync-index.ts';
import type { Io } from './io.ts';

export interface IndexWish {
  /** Throw the index away first. */
  readonly rebuild?: boolean;
  /** Names of the run folders, where they were listed already. */
  readonly listed?: readonly string[];
}

/** Opens the index of an archive, brought up to its folders, for the time of `work`. */
export async function withIndex<Result>(
  root: string,
  io: Io,
  { rebuild = false, listed }: IndexWish,
  work: (index: RunIndex) => Result | Promise<Result>,
): Promise<Result> {
  const file = (await isWritable(root)) ? join(root, indexFile) : ':memory:';
  if (rebuild && file !== ':memory:') removeIndex(file);
  const index = openIndex(file);
  try {
    const { added, unreadable } = await syncIndex(index, root, listed);
    if (rebuild) io.stderr(`Indexed ${added} ${added === 1 ? 'run' : 'runs'} in ${root}.\n`);
    for (const text of unreadable.slice(0, 5)) io.stderr(`evenfall: left out: ${text}\n`);
    if (unreadable.length > 5) io.stderr(`evenfall: and ${unreadable.length - 5} more\n`);
    return await work(index);
  } finally {
    index.close();
  }
}

/** An archive that may only be read is indexed in memory each time. */
async function isWritable(root: string): Promise<boolean> {
  return access(root, constants.W_OK).then(
    () => true,
    () => false,
  );
}

function removeIndex(file: string): void {
  for (const suffix of ['', '-wal', '-shm']) rmSync(file + suffix, { force: true });
}
