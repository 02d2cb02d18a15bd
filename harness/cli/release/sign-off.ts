import { existsSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { refusedSigner } from '../../archive/policy.ts';
import { SignRefusal, signRun } from '../../archive/sign-run.ts';
import type { Decision } from '../../archive/statement.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import { loadSigningKey } from './read-keys.ts';
import { readPolicy } from './read-policy.ts';

/** What a person decides on a run, and the key file that proves it was them. */
export interface SignOff {
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
 * Throws Complaint with the reason where the key, the policy or the run itself says no.
 */
export async function signOff(
  folder: string,
  record: RunRecord,
  wish: SignOff,
  io: Io,
): Promise<SignedOff> {
  const name = wish.name.trim();
  const meaning = wish.meaning.trim();
  if (name === '' || meaning === '') {
    throw new Complaint('usage', 'expected a name and a meaning, found an empty text');
  }
  const key = await loadSigningKey(wish.keyFile, wish.passphrase);
  if (wish.policy) await mustBeAllowed(wish.policy, record, { name, key: key.id }, io);
  const signedAt = new Date().toISOString();
  const { decision, waivers } = wish;
  const request = { key, name, meaning, decision, waivers, signedAt };
  const file = await signRun(folder, request).catch((error: Error) => {
    if (!(error instanceof SignRefusal)) throw error;
    throw new Complaint('refused', `not signed: ${error.message}`, { cause: error });
  });
  await updateIndex(folder);
  return { file, key: key.id, signedAt };
}

async function mustBeAllowed(
  file: string,
  record: RunRecord,
  signer: { readonly name: string; readonly key: string },
  io: Io,
): Promise<void> {
  const { policy } = await readPolicy(file, io);
  const run = { lamp: record.lamp.name, operator: record.operator ?? null };
  const why = refusedSigner(policy, run, signer);
  if (why) throw new Complaint('refused', `not signed: ${why}`);
}

/** A list that shows the decision at once; the database is loaded only where there is an index to change. */
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
