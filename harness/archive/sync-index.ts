import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import { addRun, addRuns, type RunPlace, removeRun } from './add-run.ts';
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
  const fresh = onDisk.filter((folder) => !settled.has(folder));
  const unreadable: string[] = [];
  for (let from = 0; from < fresh.length; from += batch) {
    const runs: LoadedRun[] = [];
    for (const folder of fresh.slice(from, from + batch)) {
      const run = await loadRun(root, folder).catch((error: Error) => error);
      if (run instanceof Error) unreadable.push(run.message);
      else runs.push(run);
    }
    addRuns(index, runs);
  }
  return { added: fresh.length - unreadable.length, removed: gone.length, unreadable };
}

/** Records are held in memory until their batch is written; a large one can be tens of megabytes. */
const batch = 25;

interface LoadedRun {
  readonly record: RunRecord;
  readonly place: RunPlace;
}

async function loadRun(root: string, folder: string): Promise<LoadedRun> {
  const path = join(root, folder);
  const { record, sealed } = await readRun(path);
  return { record, place: { folder, sealed, decision: await lastDecision(path) } };
}

/** Reads one run folder into the index, in place of what the index knew of it. */
export async function addFolder(index: RunIndex, root: string, folder: string): Promise<void> {
  const { record, place } = await loadRun(root, folder);
  addRun(index, record, place);
}
