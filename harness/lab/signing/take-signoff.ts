import type { KeyObject } from 'node:crypto';
import { isDeepStrictEqual } from 'node:util';
import { checkEnvelope } from '../../archive/check-signoffs.ts';
import { clocksApart } from '../../archive/clocks-apart.ts';
import { inTotoPayloadType, openEnvelope } from '../../archive/dsse.ts';
import { enterSignoff } from '../../archive/enter-signoff.ts';
import { withFileLock } from '../../archive/file-lock.ts';
import { ledgerText, readLedger } from '../../archive/ledger.ts';
import { sha256 } from '../../archive/manifest.ts';
import { type Policy, policyTitle } from '../../archive/policy.ts';
import { refusedSignoff } from '../../archive/policy-signers.ts';
import { refusedRun } from '../../archive/run-decision.ts';
import { matchWaivers, type SignableRun, signableRun } from '../../archive/signable-run.ts';
import { readPublicKey } from '../../archive/signing-key.ts';
import {
  nextSignoff,
  type SignoffEnvelopes,
  subjectsOfRun,
  subjectsOfSignoffs,
} from '../../archive/signoff-envelopes.ts';
import { releaseSuffix, testResultSuffix } from '../../archive/signoff-files.ts';
import {
  parseReleaseStatement,
  parseTestResultStatement,
  type ReleaseStatement,
} from '../../archive/statement.ts';
import { mustBeSayable } from '../../workflow/signing/sign-off.ts';
import type { SentSignoff } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { seenRun } from './run-to-sign.ts';

/** Where a sign-off goes, and who may give one. */
interface Place {
  readonly folder: string;
  readonly ledger: string;
  /** Absent: anybody with a key. */
  readonly policy: Policy | null;
}

/**
 * Stores a sign-off that was made on another computer, and enters it in the ledger, as `evenfall sign` would have done here. Rejects with a
 * Refusal: `conflict` where the run or the ledger is not as its signer saw it, `forbidden` where the policy refuses, `invalid` where
 * the envelopes do not say what is so. Nothing is stored then. What is stored already is no error: an answer may have been lost.
 */
export async function takeSignoff(place: Place, sent: SentSignoff): Promise<void> {
  const { folder, ledger, policy } = place;
  const read = readPublicKey(sent.publicKey);
  if (!read.ok) throw new Refusal('invalid', `the public key: ${read.why}`);
  const statement = openRelease(sent, read.key);
  const { predicate } = statement;
  const run = await signableRun(folder, predicate);
  mustHold(sent, read.key, run);
  mustBeSayable({ name: predicate.signer.name, meaning: predicate.meaning });
  matchWaivers(run.record, predicate);
  if (policy) mustBeAllowed(policy, run, statement);
  await withFileLock(`${ledger}.lock`, async () => {
    const seen = await seenRun(folder, ledger);
    if (await isStored(sent, seen.signoffs, ledger)) return;
    if (!isDeepStrictEqual(seen, sent.seen)) throw signedMeanwhile(seen, sent.seen);
    await enterSignoff(folder, run, {
      ...{ ledger, signedAt: predicate.signedAt },
      make: () => asNext(folder, run, sent, statement),
      agree: (_, before, lines) => {
        if (ledgerText(before?.head ?? null, lines) === sent.lines) return;
        const text = 'the lines for the ledger of decisions are not those that enter this sign-off';
        throw new Refusal('invalid', text);
      },
    });
  });
}

/** What was signed; of the run nothing is known yet. */
function openRelease({ release }: SentSignoff, key: KeyObject): ReleaseStatement {
  const opened = openEnvelope(release.text, inTotoPayloadType, [key]);
  if (!opened.ok) throw new Refusal('invalid', `${release.file}: ${opened.why}`);
  const statement = parseReleaseStatement(opened.payload);
  if (statement) return statement;
  throw new Refusal('invalid', `${release.file}: expected a release statement, found another`);
}

/** Both envelopes, as `verify` looks at them. A lab has a clock of its own, so that nobody dates a decision back. */
function mustHold({ release, testResult }: SentSignoff, key: KeyObject, run: SignableRun): void {
  const now = Date.now();
  const held = { record: run.record, manifest: sha256(run.manifest), now };
  const checked = checkEnvelope(release.file, release.text, [key], held);
  const result = checkEnvelope(testResult.file, testResult.text, [key], held);
  const problems = [
    ...checked.problems.map((text) => `${release.file} ${text}`),
    ...result.problems.map((text) => `${testResult.file} ${text}`),
  ];
  if (problems.length > 0) throw new Refusal('invalid', `not signed: ${problems.join('; ')}`);
  const { signedAt = '' } = checked.statement?.predicate ?? {};
  if (Math.abs(Date.parse(signedAt) - now) <= clocksApart) return;
  const here = new Date(now).toISOString();
  const text = `it is dated ${signedAt}, and the lab's clock says ${here}; set the clock of your computer and sign again`;
  throw new Refusal('invalid', `not signed: ${text}`);
}

function mustBeAllowed(
  policy: Policy,
  { record }: SignableRun,
  { predicate }: ReleaseStatement,
): void {
  const why = refusedSignoff(policy, record, predicate, []);
  if (why !== null) throw new Refusal('forbidden', `not signed: ${why}`);
  if (predicate.decision !== 'release') return;
  const unmet = refusedRun(policy, record, predicate.signedAt);
  if (unmet.length === 0) return;
  const text = `${policyTitle(policy)}, refuses this run: ${unmet.join('; ')}`;
  throw new Refusal('forbidden', `not signed: ${text}`);
}

/** The envelopes, where they have the names that come next and bind this run and every sign-off before them, and nothing else. */
async function asNext(
  folder: string,
  { record, manifest }: SignableRun,
  { release, testResult }: SentSignoff,
  { subject, predicate }: ReleaseStatement,
): Promise<SignoffEnvelopes> {
  const { base, earlier } = await nextSignoff(folder, predicate.signer.name);
  for (const [{ file }, name] of [
    [release, base + releaseSuffix],
    [testResult, base + testResultSuffix],
  ] as const)
    if (file !== name)
      throw new Refusal('invalid', `expected the next sign-off to be ${name}, found ${file}`);
  const bound = subjectsOfRun(record, manifest);
  const all = [...bound, ...subjectsOfSignoffs(base, testResult.text, earlier)];
  const payload = Buffer.from(JSON.parse(testResult.text).payload, 'base64');
  const result = parseTestResultStatement(payload);
  if (!isDeepStrictEqual(subject, all) || !isDeepStrictEqual(result?.subject, bound))
    throw new Refusal(
      'invalid',
      'expected a sign-off that binds the run and every sign-off before it, and nothing else',
    );
  return { base, testResult: testResult.text, release: release.text };
}

/** Whether this very sign-off was stored and entered before. */
async function isStored(
  { release }: SentSignoff,
  stored: SentSignoff['seen']['signoffs'],
  ledger: string,
): Promise<boolean> {
  const digest = sha256(release.text);
  const entries = (await readLedger(ledger))?.entries ?? [];
  return (
    stored.some((one) => one.file === release.file && one.sha256 === digest) &&
    entries.some((one) => one.sha256 === digest)
  );
}

function signedMeanwhile(now: SentSignoff['seen'], seen: SentSignoff['seen']): Refusal {
  const what =
    now.manifest !== seen.manifest
      ? 'this run is not the one that you were shown'
      : isDeepStrictEqual(now.signoffs, seen.signoffs)
        ? 'somebody else has signed another run meanwhile'
        : 'somebody else has signed this run meanwhile; look at the run';
  return new Refusal('conflict', `not signed: ${what}; decide and sign again`);
}
