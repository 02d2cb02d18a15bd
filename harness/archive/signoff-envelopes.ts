import { mkdir, rm, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import { inTotoPayloadType, sealEnvelope } from './dsse.ts';
import { manifestFile, sha256, signoffsFolder } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import { type SignableRun, SignRefusal } from './signable-run.ts';
import type { SigningKey } from './signing-key.ts';
import { releaseSuffix, signoffEntries, testResultSuffix, wholeSignoffs } from './signoff-files.ts';
import {
  buildReleaseStatement,
  buildTestResultStatement,
  type Declaration,
  type Subject,
} from './statement.ts';
import { writeFileWhole } from './write-file-whole.ts';

/** The two envelopes of a sign-off: their names in the run's folder without suffix, and their texts. */
export interface SignoffEnvelopes {
  readonly base: string;
  readonly testResult: string;
  readonly release: string;
}

/** Makes the next sign-off of a run; nothing is written. */
export async function sealSignoff(
  folder: string,
  { record, manifest }: SignableRun,
  declaration: Omit<Declaration, 'key'> & { readonly key: SigningKey },
): Promise<SignoffEnvelopes> {
  const { privateKey, publicKey, id } = declaration.key;
  const seal = (statement: object): string =>
    sealEnvelope(inTotoPayloadType, encode(statement), privateKey, publicKey);
  const { base, earlier } = await nextSignoff(folder, declaration.name);
  const subjects = subjectsOfRun(record, manifest);
  const testResult = seal(buildTestResultStatement(record, subjects));
  const bound = [...subjects, ...subjectsOfSignoffs(base, testResult, earlier)];
  const release = seal(buildReleaseStatement(record, bound, { ...declaration, key: id }));
  return { base, testResult, release };
}

/** What a sign-off says of the run that it is about: both of its statements bind it. */
export function subjectsOfRun({ lamp }: RunRecord, manifest: string): readonly Subject[] {
  const { digest, name } = lamp.firmware;
  const firmware =
    digest === null ? [] : [{ name: `firmware: ${name}`, digest: { sha256: digest } }];
  return [{ name: manifestFile, digest: { sha256: sha256(manifest) } }, ...firmware];
}

/** What a release binds beside it. Naming the earlier sign-offs binds them in order: none can be taken away from under this one. */
export function subjectsOfSignoffs(
  base: string,
  testResult: string,
  earlier: readonly Subject[],
): readonly Subject[] {
  return [{ name: base + testResultSuffix, digest: { sha256: sha256(testResult) } }, ...earlier];
}

/** What the next sign-off of a run is called, and the files of those before it. */
export async function nextSignoff(
  folder: string,
  name: string,
): Promise<{ readonly base: string; readonly earlier: readonly Subject[] }> {
  const files = await earlierSignoffs(folder);
  const numbers = files.map((file) => Number.parseInt(file.slice(signoffsFolder.length + 1), 10));
  const number = String(Math.max(0, ...numbers) + 1).padStart(2, '0');
  const earlier = await Promise.all(
    files.map(async (file) => ({
      name: file,
      digest: { sha256: sha256(await readPlainFile(join(folder, file))) },
    })),
  );
  return { base: `${signoffsFolder}/${number}-${slug(name)}`, earlier };
}

/** A test result whose release statement was never written (a kill in between) is no sign-off and is cleared away. */
async function earlierSignoffs(folder: string): Promise<readonly string[]> {
  const { files, unfinished, foreign } = await signoffEntries(folder);
  for (const [file, kind] of foreign)
    throw new SignRefusal(
      `expected sign-offs alone in ${signoffsFolder}, found ${file}, a ${kind}; remove it`,
    );
  for (const file of unfinished) await rm(join(folder, file), { force: true });
  const kept = wholeSignoffs(files);
  for (const file of files) if (!kept.includes(file)) await rm(join(folder, file));
  return kept;
}

/** Writes both envelopes or none; returns the file of the release statement. */
export async function writeSignoff(
  folder: string,
  { base, testResult, release }: SignoffEnvelopes,
): Promise<string> {
  const file = base + releaseSuffix;
  await mkdir(join(folder, signoffsFolder), { recursive: true });
  try {
    await writeFileWhole(join(folder, base + testResultSuffix), testResult);
    await writeFileWhole(join(folder, file), release);
  } catch (error) {
    await removeSignoff(folder, file);
    throw error;
  }
  return file;
}

/** The release statement goes first: a test result alone is no sign-off. */
export async function removeSignoff(folder: string, release: string): Promise<void> {
  for (const file of [release, release.replace(releaseSuffix, testResultSuffix)])
    await rm(join(folder, file), { force: true });
  await rmdir(join(folder, signoffsFolder)).catch(() => {});
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
