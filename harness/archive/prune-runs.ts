import { rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { fileSystemError } from './archive-error.ts';
import { asideFolder } from './aside-folder.ts';
import type { RunRow } from './find-runs.ts';
import { isSigned } from './signoff-files.ts';
import { isBeingWritten } from './writer-mark.ts';

export interface PruneRule {
  /** The newest runs are kept, this many. */
  readonly keep: number;
  /** Only runs that started before this instant go; ISO 8601. */
  readonly before?: string | undefined;
}

/**
 * Which runs may go, oldest first: not the newest, not signed ones, and not those that a signed run follows from
 * (they are part of its history). `runs` newest first.
 */
export function prunable(runs: readonly RunRow[], { keep, before }: PruneRule): RunRow[] {
  const needed = new Set(
    runs
      .filter(({ decision }) => decision !== null)
      .flatMap(({ follows }) => follows.map(({ id }) => id)),
  );
  return runs
    .slice(keep)
    .filter(({ decision, id }) => decision === null && !needed.has(id))
    .filter(({ started }) => before === undefined || started < before)
    .reverse();
}

/** Removes a run's folder, unless it turns out to be signed or still being written to. It leaves the list at once, whatever the removal takes. */
export async function pruneRun(root: string, folder: string): Promise<boolean> {
  const path = join(root, folder);
  if ((await isSigned(path)) || (await isBeingWritten(path))) return false;
  const aside = asideFolder(root, `${folder}.removed`);
  try {
    await rename(path, aside);
    await rm(aside, { recursive: true });
    return true;
  } catch (error) {
    throw fileSystemError(error, `removing ${path}`);
  }
}
