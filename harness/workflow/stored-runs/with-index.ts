import { rmSync } from 'node:fs';
import { access, constants } from 'node:fs/promises';
import { join } from 'node:path';
import { indexFile, openIndex, type RunIndex } from '../../archive/open-index.ts';
import { type Synced, syncIndex } from '../../archive/sync-index.ts';

export interface IndexOptions {
  /** Throw the index away first. */
  readonly rebuild?: boolean;
  /** Names of the run folders, where they were listed already. */
  readonly listed?: readonly string[];
  /** Hears what the index had to take in or leave out, before `work` starts. */
  readonly onSynced?: (synced: Synced) => void;
}

/** Opens the index of an archive, brought up to its folders, for as long as `work` takes. */
export async function withIndex<Result>(
  root: string,
  { rebuild = false, listed, onSynced }: IndexOptions,
  work: (index: RunIndex) => Result | Promise<Result>,
): Promise<Result> {
  // An archive that may only be read is indexed in memory each time.
  const file = (await isWritable(root)) ? join(root, indexFile) : ':memory:';
  if (rebuild && file !== ':memory:') removeIndex(file);
  const index = openIndex(file);
  try {
    const synced = await syncIndex(index, root, listed);
    onSynced?.(synced);
    return await work(index);
  } finally {
    index.close();
  }
}

async function isWritable(root: string): Promise<boolean> {
  return access(root, constants.W_OK).then(
    () => true,
    () => false,
  );
}

function removeIndex(file: string): void {
  for (const suffix of ['', '-wal', '-shm']) rmSync(file + suffix, { force: true });
}
