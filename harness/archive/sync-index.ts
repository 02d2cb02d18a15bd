import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { addRun, removeRun } from './add-run.ts';
import { listRunFolders } from './list-run-folders.ts';
import { manifestFile } from './manifest.ts';
import type { RunIndex } from './open-index.ts';
import { readRun } from './read-run.ts';
import { lastDecision } from './signoff-files.ts';

export interface Synced {
  readonly added: number;
  readonly removed: number;
  /** Folders that hold no readable run, and why. They are looked at again next time. */
  readonly unreadable: readonly string[];
}

/**
 * Brings the index up to the folders: new runs are read, vanished ones dropped, and unfinished ones read again once
 * they are sealed. An index without rows is so rebuilt from nothing.
 */
export async function syncIndex(index: RunIndex, root: string): Promise<Synced> {
  const onDisk = await listRunFolders(root);
  const known = index.prepare('SELECT folder, sealed FROM run').all() as {
    folder: string;
    sealed: number;
  }[];
  const settled = new Set(
    known
      .filter(({ folder, sealed }) => sealed || !existsSync(join(root, folder, manifestFile)))
      .map(({ folder }) => folder),
  );
  const there = new Set(onDisk);
  const gone = known.filter(({ folder }) => !there.has(folder));
  for (const { folder } of gone) removeRun(index, folder);
  const unreadable: string[] = [];
  const fresh = onDisk.filter((folder) => !settled.has(folder));
  for (const folder of fresh) {
    await addFolder(index, root, folder).catch((error: Error) => unreadable.push(error.message));
  }
  return { added: fresh.length - unreadable.length, removed: gone.length, unreadable };
}

/** Reads one run folder into the index, in place of what the index knew of it. */
export async function addFolder(index: RunIndex, root: string, folder: string): Promise<void> {
  const path = join(root, folder);
  const { record, sealed } = await readRun(path);
  addRun(index, record, { folder, sealed, decision: await lastDecision(path) });
}
