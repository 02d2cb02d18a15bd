import { isSigned } from '../../archive/signoff-files.ts';
import { verifyRun } from '../../archive/verify-run.ts';
import type { CheckedSeal } from '../../report/view-seal.ts';
import { type Desk, trustOf } from './desk.ts';

/** Checks every file and signature of a run, as `evenfall verify` does, at the moment of asking. */
export async function checkSeal(desk: Desk, folder: string): Promise<CheckedSeal> {
  const { keys, policy } = await trustOf(desk);
  const verification = await verifyRun(folder, keys, policy);
  return { ...verification, signed: await isSigned(folder), keys: keys.length };
}
