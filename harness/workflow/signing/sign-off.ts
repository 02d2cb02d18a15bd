import { existsSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { ledgerBeside } from '../../archive/ledger.ts';
import { badName } from '../../archive/person.ts';
import { policyTitle } from '../../archive/policy.ts';
import { refusedSigner } from '../../archive/policy-signers.ts';
import { refusedRun } from '../../archive/run-decision.ts';
import { signRun } from '../../archive/sign-run.ts';
import { SignRefusal } from '../../archive/signable-run.ts';
import type { Decision, ReleasePredicate } from '../../archive/statement.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import { wallClock } from '../wall-clock.ts';
import { keyNote, openKey, readKeyFile } from './read-keys.ts';
import { readPolicy } from './read-policy.ts';

/** What a person decides on a run, and the key file that proves it was them. */
export interface SignOffRequest {
  readonly keyFile: string;
  /** Of no account where the key is not encrypted. */
  readonly passphrase: string;
  /** A key that is not encrypted will do. */
  readonly unencryptedKey?: boolean | undefined;
  readonly name: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  /** Policy file that says who may decide; absent: anybody with a key. */
  readonly policy?: string | undefined;
  /** Ledger of decisions; absent: that of the archive. */
  readonly ledger?: string | undefined;
}

export interface SignedOff {
  /** The new file, inside the run's folder. */
  readonly file: string;
  /** `keyId` of the signer's key. */
  readonly key: string;
  readonly signedAt: string;
  /** The key's public half, PEM. */
  readonly publicPem: string;
  /** What the owner of the key should know of its file; null for nothing. */
  readonly keyNote: string | null;
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
  mustBeSayable({ name, meaning });
  const stored = await readKeyFile(keyFile, { unencrypted: request.unencryptedKey });
  const key = openKey(stored, passphrase);
  const signedAt = wallClock.now();
  const asked = { name, key: key.id, decision, signedAt };
  const under = policy ? await mustBeAllowed(policy, record, asked) : null;
  const ledger = request.ledger ?? ledgerBeside(folder);
  const signed = { key, name, meaning, decision, waivers, signedAt, policy: under, ledger };
  const file = await signRun(folder, signed).catch((error: Error) => {
    if (!(error instanceof SignRefusal)) throw error;
    const options = {
      cause: error,
      ...(error.openClaims.length > 0 ? { remedy: 'waivers' as const } : {}),
    };
    throw new Complaint('refused', `not signed: ${error.message}`, options);
  });
  await updateIndex(folder).catch(() => {});
  const publicPem = String(key.publicKey.export({ type: 'spki', format: 'pem' }));
  return { file, key: key.id, signedAt, publicPem, keyNote: keyNote(stored) };
}

/**
 * A list of runs then shows the decision at once. The database is loaded only where there is an index to change. Where it cannot be
 * changed, the decision stands all the same: a list looks into the folders too.
 */
export async function updateIndex(folder: string): Promise<void> {
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
export function mustBeSayable(request: Pick<SignOffRequest, 'name' | 'meaning'>): void {
  if (request.name.trim() === '' || request.meaning.trim() === '')
    throw new Complaint('usage', 'expected a name and a meaning, found an empty text');
  const bad = badName(request.name);
  if (bad) throw new Complaint('usage', bad);
}

/** Holds a decision against a policy before it is signed; resolves with the policy as the statement names it. */
async function mustBeAllowed(
  file: string,
  record: RunRecord,
  asked: {
    readonly name: string;
    readonly key: string;
    readonly decision: Decision;
    readonly signedAt: string;
  },
): Promise<NonNullable<ReleasePredicate['policy']>> {
  const { policy } = await readPolicy(file);
  const why = refusedSigner(policy, record, asked, asked.signedAt);
  if (why) throw new Complaint('refused', `not signed: ${why}`);
  const unmet = asked.decision === 'release' ? refusedRun(policy, record, asked.signedAt) : [];
  if (unmet.length > 0) {
    const sentence = `not signed: ${policyTitle(policy)}, refuses this run:\n  ${unmet.join('\n  ')}`;
    throw new Complaint('refused', sentence);
  }
  const { name, version, digest } = policy;
  return { name, version, digest };
}
