import { mkdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { brokenFiles } from './broken-files.ts';
import { inTotoPayloadType, sealEnvelope } from './dsse.ts';
import { manifestFile, parseManifest, sha256, signoffsFolder } from './manifest.ts';
import { readRecordFile } from './record-file.ts';
import type { SigningKey } from './signing-key.ts';
import { listSignoffFiles, releaseSuffix, testResultSuffix } from './signoff-files.ts';
import {
  buildReleaseStatement,
  buildTestResultStatement,
  type Decision,
  type Subject,
  type Waiver,
} from './statement.ts';
import { writeFileWhole } from './write-file-whole.ts';

export interface SignRequest {
  readonly key: SigningKey;
  readonly name: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  /** ISO 8601 UTC */
  readonly signedAt: string;
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
 * the run is not whole, when a release leaves a claim that did not pass without a waiver, or when a waiver fits none.
 */
export async function signRun(folder: string, request: SignRequest): Promise<string> {
  const text = await readFile(join(folder, manifestFile), 'utf8').catch((error: Error) => {
    throw new ArchiveError('unfinished', unfinished(folder), { cause: error });
  });
  const manifest = parseManifest(text, join(folder, manifestFile));
  const broken = await brokenFiles(folder, manifest);
  if (broken.length > 0) {
    const files = broken.map(({ file, how }) => `${file} (${how})`).join(', ');
    throw new SignRefusal(`the run is not as it was stored: ${files}; measure again`);
  }
  const record = await readRecordFile(folder);
  if (record.ended !== 'complete') {
    const text = `the run ended ${record.ended}: only a complete run can be signed; finish it with evenfall run --resume`;
    throw new SignRefusal(text);
  }
  const waivers = matchWaivers(record, request);
  return writeSignoff(folder, record, text, { ...request, waivers });
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
    if (reason.trim() === '') throw new SignRefusal(`the waiver of ${claim} needs a reason`);
    return { claim, verdict, reason };
  });
  if (decision !== 'release') return matched;
  const waived = new Set(waivers.map(({ claim }) => claim));
  const open = record.specs.filter(({ spec, verdict }) => verdict !== 'pass' && !waived.has(spec));
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
  request: SignRequest & { readonly waivers: readonly Waiver[] },
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
    const release = seal(buildReleaseStatement(record, bound, { ...request, key: id }));
    await writeFileWhole(join(folder, base + testResultSuffix), result);
    await writeFileWhole(join(folder, base + releaseSuffix), release);
    return base + releaseSuffix;
  } catch (error) {
    throw fileSystemError(error, `signing the run in ${folder}`);
  }
}

/** A test result whose release statement was never written (a kill in between) is no sign-off and is cleared away. */
async function earlierSignoffs(folder: string): Promise<string[]> {
  const files = await listSignoffFiles(folder);
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
      digest: { sha256: sha256(await readFile(join(folder, name))) },
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
