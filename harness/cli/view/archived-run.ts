import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { HTTPException } from 'hono/http-exception';
import { glancing } from '../../archive/check-seal.ts';
import { DigestCache } from '../../archive/digest-cache.ts';
import { listRunFolders } from '../../archive/find-run-folder.ts';
import { manifestFile, readManifest } from '../../archive/manifest.ts';
import { isSigned } from '../../archive/signoff-files.ts';
import { verifyAgainstLedger } from '../../archive/verify-against-ledger.ts';
import type { Reading } from '../../archive/verify-run.ts';
import { isBeingWritten } from '../../archive/writer-mark.ts';
import type { CheckedSeal } from '../../report/pages/archive/seal.ts';
import { type Desk, trustOf } from './desk.ts';
import { slimRecord } from './record-cache.ts';

/** The path of a run folder, by its very name in the archive: whatever else an address says is no run. */
export async function archivedRun(root: string, name: string): Promise<string> {
  const names = await listRunFolders(root);
  if (names.includes(name)) return join(root, name);
  const message = 'No such run in the archive. See the list of runs.';
  throw new HTTPException(404, { message });
}

export type RunState = 'sealed' | 'running' | 'cut off';

/** Between its last condition and its seal nobody marks the folder any more, but files still come and go. */
const sealing = 10_000;

/** Whether a run is finished, in progress, or was cut off. */
export async function runState(folder: string): Promise<RunState> {
  const exists = (path: string) => stat(path).catch(() => null);
  if (await exists(join(folder, manifestFile))) return 'sealed';
  if (await isBeingWritten(folder)) return 'running';
  const found = await exists(folder);
  const fresh = found !== null && Date.now() - found.mtimeMs < sealing;
  return fresh ? 'running' : 'cut off';
}

/** Files that no page of this process needs to read twice while they stay as they are. */
export const digests = new DigestCache();

/**
 * Checks every file and signature of a run, as `evenfall verify` does, at the moment of asking; a file that was read
 * recently and has not changed since is not read again. For showing: signing checks all of it again.
 */
export async function checkSeal(desk: Desk, folder: string): Promise<CheckedSeal> {
  return checkWith(desk, folder, { hash: digests.sha256File, record: slimRecord });
}

/** The same at a glance, for a list of runs: of captures and reports only whether they are there. */
export async function glanceAtSeal(desk: Desk, folder: string): Promise<CheckedSeal> {
  const manifest = await readManifest(folder);
  const hash = digests.sha256File;
  const glance = manifest ? glancing(folder, manifest, hash) : hash;
  return checkWith(desk, folder, { hash: glance, record: slimRecord });
}

async function checkWith(desk: Desk, folder: string, reading: Reading): Promise<CheckedSeal> {
  const { keys, policy } = await trustOf(desk);
  const verification = await verifyAgainstLedger(folder, keys, { policy, ...reading });
  return { ...verification, signed: await isSigned(folder), keys: keys.length };
}
