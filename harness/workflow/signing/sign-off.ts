import { existsSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { refusedSigner } from '../../archive/policy.ts';
import { SignRefusal, signRun } from '../../archive/sign-run.ts';
import type { Decision } from '../../archive/statement.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import { wallClock } from '../wall-clock.ts';
import { loadSigningKey } from './read-keys.ts';
import { readPolicy } from './read-policy.ts';

/** What a person decides on a run, and the key file that proves it was them. */
export interface SignOffRequest {
  readonly keyFile: string;
  readonly passphrase: string;
  readonly name: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  /** Policy file that says who may decide; absent: anybody with a key. */
  readonly policy?: string | undefined;
}

export interface SignedOff {
  /** The new file, inside the run's folder. */
  readonly file: string;
  /** `keyId` of the signer's key. */
  readonly key: string;
  readonly signedAt: string;
}

/**
 * Signs a decision, however it was asked for: on a terminal or on a page. The passphrase opens the key and is let go.
 * Throws a Complaint with the reason where the key, the policy or the run itself refuses.
 */
export async function signOff(
  folder: string,
  record: RunRecord,
  request: SignOffRequest,
): Promise<SignedOff> {
  const { keyFile, passphrase, policy, decision, waivers } = request;
  const name = request.name.trim();
  const meaning = request.meaning.trim();
  mustNotBeEmpty({ name, meaning });
  const key = await loadSigningKey(keyFile, passphrase);
  if (policy) await mustBeAllowed(policy, record, { name, key: key.id });
  const signedAt = wallClock.now();
  const file = await signRun(folder, { key, name, meaning, decision, waivers, signedAt }).catch(
    (error: Error) => {
      if (!(error instanceof SignRefusal)) throw error;
      const options = {
        cause: error,
        ...(error.openClaims.length > 0 ? { remedy: 'waivers' as const } : {}),
      };
      throw new Complaint('refused', `not signed: ${error.message}`, options);
    },
  );
  await updateIndex(folder);
  return { file, key: key.id, signedAt };
}

/** A list of runs then shows the decision at once. The database is loaded only where there is an index to change. */
async function updateIndex(folder: string): Promise<void> {
  const root = dirname(folder);
  const file = join(root, 'index.sqlite');
  if (!existsSync(file)) return;
  const { openIndex } = await import('../../archive/open-index.ts');
  const { addFolder } = await import('../../archive/sync-index.ts');
  const index = openIndex(file);
  try {
    await addFolder(index, root, basename(folder));
  } finally {
    index.close();
  }
}

/** Throws a Complaint. */
export function mustNotBeEmpty(request: Pick<SignOffRequest, 'name' | 'meaning'>): void {
  if (request.name.trim() !== '' && request.meaning.trim() !== '') return;
  throw new Complaint('usage', 'expected a name and a meaning, found an empty text');
}

async function mustBeAllowed(
  file: string,
  record: RunRecord,
  signer: { readonly name: string; readonly key: string },
): Promise<void> {
  const { policy } = await readPolicy(file);
  const run = { lamp: record.lamp.name, operator: record.operator ?? null };
  const why = refusedSigner(policy, run, signer);
  if (why) throw new Complaint('refused', `not signed: ${why}`);
}
