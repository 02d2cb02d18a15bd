import { DigestCache } from '../../archive/digest-cache.ts';
import { isSigned } from '../../archive/signoff-files.ts';
import { verifyRun } from '../../archive/verify-run.ts';
import type { CheckedSeal } from '../../report/pages/archive/seal.ts';
import { type Desk, trustOf } from './desk.ts';

/** Files that no page of this process needs to read twice while they stay as they are. */
const digests = new DigestCache();

/**
 * Checks every file and signature of a run, as `evenfall verify` does, at the moment of asking; a file that was read
 * recently and has not changed since is not read again. For showing: signing checks all of it again.
 */
export async function checkSeal(desk: Desk, folder: string): Promise<CheckedSeal> {
  const { keys, policy } = await trustOf(desk);
  const verification = await verifyRun(folder, keys, policy, digests.sha256File);
  return { ...verification, signed: await isSigned(folder), keys: keys.length };
}
