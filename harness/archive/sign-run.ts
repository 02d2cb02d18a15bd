import { mkdir, rm, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import { reusedText } from '../record/reused.ts';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { brokenFiles, harmWord } from './broken-files.ts';
import { clocksApart } from './clocks-apart.ts';
import { inTotoPayloadType, sealEnvelope } from './dsse.ts';
import { withFileLock } from './file-lock.ts';
import { appendToLedger, readLedger } from './ledger.ts';
import {
  entriesOfRun,
  ledgerProblems,
  storedSignoffs,
  tornProblems,
  unentered,
} from './ledger-entries.ts';
import { manifestFile, parseManifest, sha256, signoffsFolder } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import { readSlimRecord } from './record-file.ts';
import { recordProblems } from './record-problems.ts';
import type { SigningKey } from './signing-key.ts';
import { releaseSuffix, signoffEntries, testResultSuffix } from './signoff-files.ts';
import {
  buildReleaseStatement,
  buildTestResultStatement,
  type Decision,
  openClaims,
  type ReleasePredicate,
  type Subject,
  type Waiver,
} from './statement.ts';
import { unreleasable } from './statement-problems.ts';
import { writeFileWhole } from './write-file-whole.ts';

type Matched = SignRequest & { readonly waivers: readonly Waiver[] };

export interface SignRequest {
  readonly key: SigningKey;
  readonly name: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  /** ISO 8601 UTC */
  readonly signedAt: string;
  /** Policy that the decision was held against before; absent: none. */
  readonly policy?: ReleasePredicate['policy'];
  /** Ledger of decisions that the run is held against and the sign-off is entered in; absent: none. */
  readonly ledger?: string;
}

/** A sign-off that was refused: no error of the archive, but a `no` with its reason. */
export class SignRefusal extends Error {
  override readonly name = 'SignRefusal';
  /** Claims that would have to be waived for a release; empty where there is another reason. */
  readonly openClaims: readonly string[];
  constructor(message: string, openClaims: readonly string[] = []) {
    super(message);
    this.openClaims = openClaims;
  }
}

/**
 * Adds a sign-off to a sealed run and returns the new file. Nothing that was there is touched. Throws SignRefusal when
 * the run is not whole, when a release leaves a claim that did not pass without a waiver, when a waiver fits none, or when the
 * ledger knows of a sign-off that is no longer there.
 */
export async function signRun(folder: string, request: SignRequest): Promise<string> {
  const text = await manifestOf(folder);
  const manifest = parseManifest(text, join(folder, manifestFile));
  const broken = await brokenFiles(folder, manifest);
  if (broken.length > 0) {
    const files = broken.map((one) => `${one.file} (${harmWord(one)})`).join(', ');
    throw new SignRefusal(`the run is not as it was stored: ${files}; measure again`);
  }
  const record = await readSlimRecord(folder);
  if (record.ended !== 'complete') {
    const text = `the run ended ${record.ended}: only a complete run can be signed; finish it with evenfall run --resume`;
    throw new SignRefusal(text);
  }
  const reused = reusedText(record);
  if (reused !== null) throw new SignRefusal(`${reused}; run it again without --reuse`);
  const [why] = request.decision === 'release' ? unreleasable(record) : [];
  if (why !== undefined) {
    const mend = record.faults.length > 0 ? 'without the fault' : 'with all captures';
    throw new SignRefusal(`it ${why}; run again ${mend}, or decide hold or reject`);
  }
  const [untrue] = await recordProblems(folder, record, manifest, Date.parse(request.signedAt));
  if (untrue !== undefined)
    throw new SignRefusal(`run.json cannot be right: ${untrue}; measure again`);
  const waivers = matchWaivers(record, request);
  const signed = { ...request, waivers };
  const { ledger } = request;
  if (ledger === undefined) return writeSignoff(folder, record, text, signed);
  return withFileLock(`${ledger}.lock`, () =>
    signAndEnter(folder, record, text, { ...signed, ledger }),
  );
}

/**
 * The ledger's line comes after the sign-off: a kill in between leaves a sign-off without a line, which the next signing enters,
 * and never a line without its sign-off, which would look like one that was deleted. What cannot be entered is not signed.
 */
async function signAndEnter(
  folder: string,
  record: RunRecord,
  manifestText: string,
  request: Matched & { readonly ledger: string },
): Promise<string> {
  const { ledger: path, signedAt: time } = request;
  const ledger = await readLedger(path);
  if (ledger?.problem) throw new SignRefusal(`${path}: ${ledger.problem}`);
  const last = ledger?.entries.at(-1);
  if (last) mustFollow(time, last.time, 'the last decision in the ledger');
  const manifest = sha256(manifestText);
  const before = await storedSignoffs(folder);
  const entries = ledger ? entriesOfRun(ledger, record.id) : [];
  const [vanished] = [
    ...ledgerProblems(entries, before, manifest),
    ...(ledger ? tornProblems(ledger, record.id, before) : []),
  ];
  if (vanished) throw new SignRefusal(`${vanished.file} ${vanished.text}`);
  const file = await writeSignoff(folder, record, manifestText, request);
  try {
    const late = unentered(entries, await storedSignoffs(folder));
    const lines = late.map((signoff) => ({ time, run: record.id, manifest, ...signoff }));
    await appendToLedger(path, ledger, lines);
    return file;
  } catch (error) {
    await removeSignoff(folder, file);
    throw error;
  }
}

/** A sign-off that is dated before what it follows is refused by whoever verifies, and cannot be taken back. */
function mustFollow(signedAt: string, before: string, what: string): void {
  if (Date.parse(signedAt) >= Date.parse(before) - clocksApart) return;
  const text = `this computer says that it is ${signedAt}, before ${what} at ${before}; set its clock`;
  throw new SignRefusal(text);
}

/** The release statement goes first: a test result alone is no sign-off. */
async function removeSignoff(folder: string, release: string): Promise<void> {
  for (const file of [release, release.replace(releaseSuffix, testResultSuffix)])
    await rm(join(folder, file), { force: true });
  await rmdir(join(folder, signoffsFolder)).catch(() => {});
}

async function manifestOf(folder: string): Promise<string> {
  const bytes = await readPlainFile(join(folder, manifestFile)).catch((error: Error) => {
    if (error instanceof ArchiveError) throw error;
    throw new ArchiveError('unfinished', unfinished(folder), { cause: error });
  });
  return bytes.toString('utf8');
}

function unfinished(folder: string): string {
  return `${folder} has no ${manifestFile}: only a finished run can be signed; finish it with evenfall run --resume`;
}

function matchWaivers(record: RunRecord, { decision, waivers }: SignRequest): Waiver[] {
  const claims = new Map(record.specs.map(({ spec, verdict }) => [spec, verdict]));
  const matched = waivers.map(({ claim, reason }) => {
    const verdict = claims.get(claim);
    if (verdict === undefined) throw new SignRefusal(`there is no claim ${claim} in this run`);
    if (verdict === 'pass') throw new SignRefusal(`the claim ${claim} passed: nothing to waive`);
    if (verdict === 'not applicable')
      throw new SignRefusal(`the claim ${claim} does not apply to this lamp: nothing to waive`);
    if (reason.trim() === '') throw new SignRefusal(`the waiver of ${claim} needs a reason`);
    return { claim, verdict, reason };
  });
  if (decision !== 'release') return matched;
  const open = openClaims(record, waivers);
  if (open.length > 0) {
    const list = open.map(({ spec, verdict }) => `${spec} (${verdict})`).join(', ');
    throw new SignRefusal(
      `for a release, every claim must pass or be waived; still open: ${list}`,
      open.map(({ spec }) => spec),
    );
  }
  return matched;
}

async function writeSignoff(
  folder: string,
  record: RunRecord,
  manifestText: string,
  request: Matched,
): Promise<string> {
  const { privateKey, publicKey, id } = request.key;
  try {
    await mkdir(join(folder, signoffsFolder), { recursive: true });
    const earlier = await earlierSignoffs(folder);
    const base = `${signoffsFolder}/${nextNumber(earlier)}-${slug(request.name)}`;
    const subjects = [
      { name: manifestFile, digest: { sha256: sha256(manifestText) } },
      ...firmwareSubject(record),
    ];
    const seal = (statement: object): string =>
      sealEnvelope(inTotoPayloadType, encode(statement), privateKey, publicKey);
    const result = seal(buildTestResultStatement(record, subjects));
    const own = { name: base + testResultSuffix, digest: { sha256: sha256(result) } };
    // Naming the earlier sign-offs binds them in order: none can be taken away from under this one.
    const bound = [...subjects, own, ...(await subjectsOf(folder, earlier))];
    const release = seal(
      buildReleaseStatement(record, bound, { policy: null, ...request, key: id }),
    );
    const file = base + releaseSuffix;
    try {
      await writeFileWhole(join(folder, base + testResultSuffix), result);
      await writeFileWhole(join(folder, file), release);
    } catch (error) {
      await removeSignoff(folder, file);
      throw error;
    }
    return file;
  } catch (error) {
    if (error instanceof SignRefusal) throw error;
    throw fileSystemError(error, `signing the run in ${folder}`);
  }
}

/** A test result whose release statement was never written (a kill in between) is no sign-off and is cleared away. */
async function earlierSignoffs(folder: string): Promise<string[]> {
  const { files, unfinished, foreign } = await signoffEntries(folder);
  for (const [file, kind] of foreign)
    throw new SignRefusal(
      `expected sign-offs alone in ${signoffsFolder}, found ${file}, a ${kind}; remove it`,
    );
  for (const file of unfinished) await rm(join(folder, file), { force: true });
  const kept: string[] = [];
  for (const file of files) {
    const partner = file.replace(testResultSuffix, releaseSuffix);
    if (files.includes(partner)) kept.push(file);
    else await rm(join(folder, file));
  }
  return kept;
}

function nextNumber(files: readonly string[]): string {
  const numbers = files.map((file) => Number.parseInt(file.slice(signoffsFolder.length + 1), 10));
  return String(Math.max(0, ...numbers) + 1).padStart(2, '0');
}

function firmwareSubject({ lamp }: RunRecord): Subject[] {
  const { digest, name } = lamp.firmware;
  return digest === null ? [] : [{ name: `firmware: ${name}`, digest: { sha256: digest } }];
}

async function subjectsOf(folder: string, files: readonly string[]): Promise<Subject[]> {
  return Promise.all(
    files.map(async (name) => ({
      name,
      digest: { sha256: sha256(await readPlainFile(join(folder, name))) },
    })),
  );
}

function encode(statement: object): Uint8Array {
  return new TextEncoder().encode(JSON.stringify(statement));
}

function slug(name: string): string {
  const safe = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return safe.slice(0, 40) || 'signer';
}
