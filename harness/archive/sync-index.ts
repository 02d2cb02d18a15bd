import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import { addRun, addRuns, type RunPlace, removeRun } from './add-run.ts';
import { listRunFolders } from './find-run-folder.ts';
import { journalBytes } from './journal.ts';
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
 * they went on or were sealed. An index without rows is so rebuilt from nothing. What is as it was costs one comparison
 * of all names and a look into each unfinished run; a sealed run only ever gains sign-offs (see refresh-decisions.ts).
 */
export async function syncIndex(
  index: RunIndex,
  root: string,
  names?: readonly string[],
): Promise<Synced> {
  const onDisk = names ?? (await listRunFolders(root));
  const { gone, fresh } = differences(index, onDisk);
  for (const folder of gone) removeRun(index, folder);
  const dropped = new Set(gone);
  const stale = goneOn(index, root).filter((folder) => !dropped.has(folder));
  const unreadable = await readInto(index, root, [...fresh, ...stale]);
  return {
    added: fresh.length + stale.length - unreadable.length,
    removed: gone.length,
    unreadable,
  };
}

/** No name of a folder can hold it. */
const between = '/';

/** Rows without a folder, and folders without a row. */
function differences(
  index: RunIndex,
  onDisk: readonly string[],
): { readonly gone: readonly string[]; readonly fresh: readonly string[] } {
  // All names as one text: a row for each of many thousand runs would take most of a command's time.
  const all = index
    .prepare('SELECT group_concat(folder, ?) FROM (SELECT folder FROM run ORDER BY folder)')
    .pluck()
    .get(between) as string | null;
  if ((all ?? '') === onDisk.join(between)) return { gone: [], fresh: [] };
  const known = new Set(all?.split(between));
  const there = new Set(onDisk);
  return {
    gone: [...known].filter((folder) => !there.has(folder)),
    fresh: onDisk.filter((folder) => !known.has(folder)),
  };
}

/** Unfinished runs of the index that were sealed since, or whose journal is longer or shorter now. */
function goneOn(index: RunIndex, root: string): string[] {
  const unsealed = index
    .prepare('SELECT folder, journal_bytes AS bytes FROM run WHERE NOT sealed')
    .all() as { folder: string; bytes: number | null }[];
  return unsealed
    .filter(({ folder, bytes }) => {
      const path = join(root, folder);
      return existsSync(join(path, manifestFile)) || journalBytes(path) !== bytes;
    })
    .map(({ folder }) => folder);
}

/** Reads runs into the index; returns why some could not be read. */
async function readInto(
  index: RunIndex,
  root: string,
  folders: readonly string[],
): Promise<string[]> {
  const unreadable: string[] = [];
  for (let from = 0; from < folders.length; from += batch) {
    const runs: LoadedRun[] = [];
    for (const folder of folders.slice(from, from + batch)) {
      const run = await loadRun(root, folder).catch((error: Error) => error);
      if (run instanceof Error) unreadable.push(run.message);
      else runs.push(run);
    }
    addRuns(index, runs);
  }
  return unreadable;
}

/** Records are held in memory until their batch is written; a large one can be tens of megabytes. */
const batch = 25;

interface LoadedRun {
  readonly record: RunRecord;
  readonly place: RunPlace;
}

async function loadRun(root: string, folder: string): Promise<LoadedRun> {
  const path = join(root, folder);
  // Before the record: what is written in between is then read next time.
  const bytes = journalBytes(path);
  const { record, sealed } = await readRun(path, { hashed: false, curves: false });
  return {
    record,
    place: { folder, sealed, journalBytes: bytes, decision: await lastDecision(path) },
  };
}

/** Reads one run folder into the index, in place of what the index knew of it. */
export async function addFolder(index: RunIndex, root: string, folder: string): Promise<void> {
  const { record, place } = await loadRun(root, folder);
  addRun(index, record, place);
}
