import type { KeyObject } from 'node:crypto';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import type { Problem } from './check-seal.ts';
import { inTotoPayloadType, isOwnSpelling, openEnvelope } from './dsse.ts';
import { manifestFile, sha256, signoffsFolder } from './manifest.ts';
import { isPlainlySpelled, otherSpelling } from './own-spelling.ts';
import { readPlainFile } from './plain-file.ts';
import { type ChainLink, chainProblems } from './signoff-chain.ts';
import { releaseSuffix, signoffEntries, testResultSuffix } from './signoff-files.ts';
import {
  parseReleaseStatement,
  parseTestResultStatement,
  type ReleasePredicate,
  type ReleaseStatement,
  type Subject,
} from './statement.ts';
import { releaseProblems, testResultProblems } from './statement-problems.ts';

export interface VerifiedSignoff {
  readonly file: string;
  readonly predicate: ReleasePredicate;
}

export interface CheckedSignoffs {
  /** Sign-offs whose signatures hold and that say what is so. */
  readonly valid: readonly VerifiedSignoff[];
  readonly problems: readonly Problem[];
  /** What is no problem, but whoever relies on the run should know. */
  readonly notes: readonly string[];
  /** The manifests that were signed, SHA-256. */
  readonly manifests: ReadonlySet<string>;
}

/** The run that they are held against; what could not be read is null. */
export interface RunToCheck {
  readonly record: RunRecord | null;
  /** SHA-256 of the manifest. */
  readonly manifest: string | null;
  /** ms since 1970. */
  readonly now: number;
}

/** Opens every sign-off of a folder with the trusted keys, and holds it against the run and against the sign-offs before it. */
export async function checkSignoffs(
  folder: string,
  trusted: readonly KeyObject[],
  run: RunToCheck,
): Promise<CheckedSignoffs> {
  const { files, unfinished, foreign } = await signoffEntries(folder);
  const hashes = new Map<string, string>();
  const valid: VerifiedSignoff[] = [];
  const problems: Problem[] = [];
  const subjects: Subject[] = [];
  const links: ChainLink[] = [];
  for (const file of files) {
    const text = (await readPlainFile(join(folder, file))).toString('utf8');
    hashes.set(file, sha256(text));
    const found = checkEnvelope(file, text, trusted, run);
    problems.push(...found.problems.map((problem) => ({ file, text: problem })));
    if (found.statement) links.push({ file, statement: found.statement });
    subjects.unshift(...(found.statement?.subject ?? []));
    if (found.statement && found.problems.length === 0)
      valid.push({ file, predicate: found.statement.predicate });
  }
  if (files.length === 0 && !foreign.has(signoffsFolder))
    problems.push({ file: signoffsFolder, text: 'holds no sign-off' });
  for (const file of unfinished)
    problems.push({ file, text: 'is what a signing that was cut off left behind; remove it' });
  for (const [file, kind] of foreign)
    problems.push({ file, text: `is a ${kind}, which no sign-off is; remove it` });
  const chain = chainProblems(links);
  const manifests = subjects.filter(({ name }) => name === manifestFile);
  return {
    valid,
    problems: [...problems, ...boundProblems(subjects, hashes), ...chain.problems],
    notes: chain.notes,
    manifests: new Set(manifests.map(({ digest }) => digest.sha256)),
  };
}

interface CheckedEnvelope {
  /** A release statement about this run: what another run's sign-off binds says nothing about this one. */
  readonly statement?: ReleaseStatement;
  readonly problems: readonly string[];
}

/** Opens one envelope of a sign-off with the trusted keys, and holds it against the run alone. */
export function checkEnvelope(
  file: string,
  text: string,
  trusted: readonly KeyObject[],
  { record, manifest, now }: RunToCheck,
): CheckedEnvelope {
  const bad = (...problems: string[]): CheckedEnvelope => ({ problems });
  const known = file.endsWith(releaseSuffix) || file.endsWith(testResultSuffix);
  if (!known) return bad('is not a sign-off; it was added');
  const opened = openEnvelope(text, inTotoPayloadType, trusted);
  if (!opened.ok) return bad(opened.why);
  const { payload, signers } = opened;
  if (!isOwnSpelling(text, signers)) return bad('was changed outside its signed content');
  if (!isPlainlySpelled(Buffer.from(payload).toString('utf8'))) return bad(otherSpelling);
  // Without a run to hold it against there are problems already.
  const run = record && manifest ? { record, manifest, signers, now } : null;
  if (file.endsWith(testResultSuffix)) {
    const statement = parseTestResultStatement(payload);
    if (!statement) return bad('holds no test-result statement');
    return bad(...(run ? testResultProblems(statement, run) : []));
  }
  const statement = parseReleaseStatement(payload);
  if (!statement) return bad('holds no release statement');
  const found = run ? releaseProblems(statement, run) : [];
  return statement.predicate.run.id === record?.id ? { statement, problems: found } : bad(...found);
}

/** Sign-offs name the envelopes that they rest on, and every test result belongs to a release statement. */
function boundProblems(
  subjects: readonly Subject[],
  hashes: ReadonlyMap<string, string>,
): Problem[] {
  const problems = new Map<string, string>();
  const bound = new Map(subjects.map(({ name, digest }) => [name, digest.sha256]));
  for (const [name, expected] of bound) {
    if (!name.startsWith('signoffs/')) continue;
    const found = hashes.get(name);
    if (found === undefined) problems.set(name, 'is missing, but a later sign-off depends on it');
    else if (found !== expected)
      problems.set(name, 'was changed after a sign-off that depends on it');
  }
  for (const name of hashes.keys()) {
    if (!name.endsWith(testResultSuffix) || bound.has(name)) continue;
    const release = name.replace(testResultSuffix, releaseSuffix);
    if (!hashes.has(release)) problems.set(release, 'is missing; only its test result is left');
  }
  return [...problems].map(([file, text]) => ({ file, text }));
}
