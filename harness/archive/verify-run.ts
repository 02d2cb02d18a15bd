import type { KeyObject } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { RunRecord } from '../record/run-record.ts';
import { type BrokenFile, brokenFiles } from './broken-files.ts';
import type { HashFile } from './digest-cache.ts';
import { inTotoPayloadType, isOwnSpelling, openEnvelope } from './dsse.ts';
import { type Manifest, manifestFile, parseManifest, sha256 } from './manifest.ts';
import { type Policy, unmetPolicy } from './policy.ts';
import { readRecordFile, recordFile } from './record-file.ts';
import { listSignoffFiles, releaseSuffix, testResultSuffix } from './signoff-files.ts';
import {
  parseReleaseStatement,
  parseSubjects,
  type ReleasePredicate,
  type Subject,
} from './statement.ts';

/** One thing that is not as it was signed. */
interface Problem {
  /** Path inside the run's folder. */
  readonly file: string;
  readonly text: string;
}

interface VerifiedSignoff {
  readonly file: string;
  readonly predicate: ReleasePredicate;
}

export interface Verification {
  readonly folder: string;
  readonly run: string | null;
  /** All files are as sealed, all signatures hold, at least one by a trusted key, and the policy is met. */
  readonly accepted: boolean;
  /** Files first that explain the others. */
  readonly problems: readonly Problem[];
  /** Sign-offs whose signatures hold. */
  readonly signoffs: readonly VerifiedSignoff[];
  /** What the policy misses; empty without a policy. */
  readonly unmet: readonly string[];
  readonly files: number;
}

/**
 * Checks a run folder against its manifest and sign-offs with the given public keys alone: no network, no index. `hash`
 * reads a file; every byte of it, unless given.
 */
export async function verifyRun(
  folder: string,
  trusted: readonly KeyObject[],
  policy: Policy | null = null,
  hash?: HashFile,
): Promise<Verification> {
  const signoffs = await checkSignoffs(folder, trusted);
  const seal = await checkSeal(folder, signoffs.subjects);
  const { manifest } = seal;
  const files = manifest ? await fileProblems(folder, manifest, hash) : [];
  const record = await readRecordFile(folder).catch(() => null);
  const strangers = signoffs.valid.flatMap((signoff) => strangerProblem(signoff, record));
  const unmet = policy && record ? unmetPolicy(policy, decided(record), predicates(signoffs)) : [];
  const problems = [...strangers, ...seal.problems, ...files, ...signoffs.problems];
  return {
    folder,
    run: record?.id ?? manifest?.run ?? null,
    accepted: problems.length === 0 && signoffs.valid.length > 0 && unmet.length === 0,
    problems:
      strangers.length > 0 ? problems.filter(({ file }) => file !== manifestFile) : problems,
    signoffs: signoffs.valid,
    unmet,
    files: manifest?.files.length ?? 0,
  };
}

function predicates({ valid }: CheckedSignoffs): ReleasePredicate[] {
  return valid.map(({ predicate }) => predicate);
}

function decided(record: RunRecord): { lamp: string; operator: string | null } {
  return { lamp: record.lamp.name, operator: record.operator ?? null };
}

async function fileProblems(
  folder: string,
  manifest: Manifest,
  hash?: HashFile,
): Promise<Problem[]> {
  const broken = await brokenFiles(folder, manifest, hash);
  return broken.map((found) => ({ file: found.file, text: harmText(found) }));
}

function harmText(found: BrokenFile): string {
  if (found.how === 'missing') return 'is missing';
  if (found.how === 'added') return 'was added after the run was sealed';
  return found.how === 'renamed'
    ? `was renamed to ${found.to}`
    : `was altered: it has ${found.detail}`;
}

/** The manifest itself, against what was signed. */
async function checkSeal(
  folder: string,
  subjects: readonly Subject[],
): Promise<{ readonly manifest: Manifest | null; readonly problems: Problem[] }> {
  const path = join(folder, manifestFile);
  const text = await readFile(path, 'utf8').catch(() => null);
  if (text === null) {
    const missing = 'is missing: the run was never sealed, or its seal was removed';
    return { manifest: null, problems: [{ file: manifestFile, text: missing }] };
  }
  const signed = subjects.find(({ name }) => name === manifestFile);
  const altered = signed && signed.digest.sha256 !== sha256(text);
  const problems = altered
    ? [{ file: manifestFile, text: 'was changed after the run was signed' }]
    : [];
  try {
    return { manifest: parseManifest(text, path), problems };
  } catch {
    return { manifest: null, problems: [{ file: manifestFile, text: 'is no longer a manifest' }] };
  }
}

/** A sign-off that was taken from another run. */
function strangerProblem(
  { file, predicate }: VerifiedSignoff,
  record: RunRecord | null,
): Problem[] {
  if (!record || predicate.run.id === record.id) return [];
  return [{ file, text: `signs another run (${predicate.run.id}), not ${recordFile} of this one` }];
}

interface CheckedSignoffs {
  readonly valid: readonly VerifiedSignoff[];
  readonly problems: readonly Problem[];
  /** Subjects of all valid sign-offs, the newest first. */
  readonly subjects: readonly Subject[];
}

async function checkSignoffs(
  folder: string,
  trusted: readonly KeyObject[],
): Promise<CheckedSignoffs> {
  const files = await listSignoffFiles(folder);
  const hashes = new Map<string, string>();
  const valid: VerifiedSignoff[] = [];
  const problems: Problem[] = [];
  const subjects: Subject[] = [];
  for (const file of files) {
    const text = await readFile(join(folder, file), 'utf8');
    hashes.set(file, sha256(text));
    const opened = openEnvelope(text, inTotoPayloadType, trusted);
    const problem = nameProblem(file) ?? (opened.ok ? spellingProblem(text, opened) : opened.why);
    if (problem !== null || !opened.ok) problems.push({ file, text: problem ?? '' });
    else if (file.endsWith(releaseSuffix)) {
      const statement = parseReleaseStatement(opened.payload);
      if (!statement) problems.push({ file, text: 'holds no release statement' });
      else {
        valid.push({ file, predicate: statement.predicate });
        subjects.unshift(...statement.subject);
      }
    } else if (!parseSubjects(opened.payload)) {
      problems.push({ file, text: 'holds no test-result statement' });
    }
  }
  if (files.length === 0) problems.push({ file: 'signoffs', text: 'holds no sign-off' });
  return { valid, problems: [...problems, ...boundProblems(subjects, hashes)], subjects };
}

function nameProblem(file: string): string | null {
  const known = file.endsWith(releaseSuffix) || file.endsWith(testResultSuffix);
  return known ? null : 'is not a sign-off; it was added';
}

function spellingProblem(text: string, { signers }: { signers: readonly string[] }): string | null {
  return isOwnSpelling(text, signers) ? null : 'was changed outside its signed content';
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
