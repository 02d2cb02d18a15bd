import type { RunRecord } from '../record/run-record.ts';
import { readManifest } from './manifest.ts';
import { readRecordFile, readSlimRecord } from './record-file.ts';
import { recoverRun } from './recover-run.ts';

export interface StoredRun {
  readonly folder: string;
  /** Of an unsealed folder: rebuilt from the journal, and `ended` says `unfinished`. */
  readonly record: RunRecord;
  readonly sealed: boolean;
  /** What an unsealed folder had to leave out. */
  readonly dropped: readonly string[];
}

/**
 * Any stored run, finished or cut off. It does not check the hashes of a sealed one: `verifyRun` does. Those of an
 * unsealed one are, unless `hashed` is false (for a list, which must not read the captures of a run in progress each time). With
 * `curves` false, charts and commanded light may be missing: nine tenths of a record, which only pictures and explanations need.
 */
export async function readRun(
  folder: string,
  { hashed = true, curves = true }: { readonly hashed?: boolean; readonly curves?: boolean } = {},
): Promise<StoredRun> {
  if (await readManifest(folder)) {
    const read = curves ? readRecordFile : readSlimRecord;
    return { folder, record: await read(folder), sealed: true, dropped: [] };
  }
  const { record, dropped } = await recoverRun(folder, { hashed });
  return { folder, record, sealed: false, dropped };
}
