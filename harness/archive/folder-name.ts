import { basename, resolve } from 'node:path';
import { runFolderName } from '../record/ids.ts';
import type { RunRecord } from '../record/run-record.ts';

const form = /^\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ-/;

/** Whether a name is one that Evenfall gives to the folder of a run. */
export function isRunFolderName(name: string): boolean {
  return form.test(name);
}

/**
 * Why a folder cannot be this run's: it has the name of another. Null where the name fits, or says nothing of a run (a copy
 * may be called as one likes).
 */
export function otherRunsFolder(
  folder: string,
  record: Pick<RunRecord, 'id' | 'startedAt' | 'lamp'>,
): string | null {
  const name = basename(resolve(folder));
  const own = runFolderName(record);
  if (!isRunFolderName(name) || name === own) return null;
  return `holds run ${record.id}, whose folder is called ${own}: it was copied or renamed; give it its own name back`;
}
