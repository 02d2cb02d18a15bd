import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { type CheckedSeal, glanceAtSeal } from './check-seal.ts';
import type { HashFile } from './digest-cache.ts';
import { type RunRow, rowOfRecord } from './find-runs.ts';
import type { RunIndex } from './open-index.ts';
import { readRun } from './read-run.ts';
import { readRecordHead, recordFile } from './record-file.ts';
import { decisionsIn } from './refresh-decisions.ts';
import { addFolder } from './sync-index.ts';

/** A run of a list, as its own record tells it. */
export interface ConfirmedRun extends RunRow {
  readonly seal: CheckedSeal;
}

/**
 * The runs that an index named, as their folders have them: an index finds runs fast, and whoever can write a file can
 * write it. Where it says something else it is mended. `hash` reads a record again unless given.
 */
export async function confirmRuns(
  index: RunIndex,
  root: string,
  rows: readonly RunRow[],
  hash?: HashFile,
): Promise<ConfirmedRun[]> {
  const read: ConfirmedRun[] = [];
  for (const row of rows) {
    const found = confirmRun(join(root, row.folder), row, hash);
    read.push(await found.catch((error: Error) => unreadable(row, error)));
  }
  const decisions = await decisionsIn(root, read);
  const confirmed = read.map((run) => ({ ...run, decision: decisions.get(run.folder) ?? null }));
  for (const [k, { seal, ...own }] of confirmed.entries()) {
    const isStale = seal.state !== 'altered' && !isDeepStrictEqual(own, rows[k]);
    if (isStale) await mend(index, root, own);
  }
  return confirmed;
}

async function confirmRun(
  path: string,
  { folder, decision }: RunRow,
  hash?: HashFile,
): Promise<ConfirmedRun> {
  const seal = await glanceAtSeal(path, hash);
  const sealed = seal.state !== 'not sealed';
  const record = sealed
    ? await readRecordHead(path)
    : (await readRun(path, { hashed: false })).record;
  return { ...rowOfRecord(record, { folder, sealed, decision }), seal };
}

async function mend(index: RunIndex, root: string, { folder, decision }: RunRow): Promise<void> {
  await addFolder(index, root, folder);
  // Which knows no ledger.
  const update = index.prepare('UPDATE run SET decision = @decision WHERE folder = @folder');
  update.run({ folder, decision });
}

/** Nothing of such a run is shown but that it is altered, and how it can be found. */
function unreadable(row: RunRow, { message }: Error): ConfirmedRun {
  const problems = [{ file: recordFile, text: `cannot be read: ${message}` }];
  return {
    ...row,
    verdict: 'error',
    claims: {},
    findings: {},
    seal: { state: 'altered', problems },
  };
}
