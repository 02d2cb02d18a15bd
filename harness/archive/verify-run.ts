import type { KeyObject } from 'node:crypto';
import { join } from 'node:path';
import { artificialTexts } from '../record/artificial.ts';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';
import { fileProblems, type Problem } from './check-seal.ts';
import { checkSignoffs, type VerifiedSignoff } from './check-signoffs.ts';
import type { HashFile } from './digest-cache.ts';
import { type Manifest, manifestFile, parseManifest, sha256 } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import type { Policy } from './policy.ts';
import { readSlimRecord, recordFile } from './record-file.ts';
import { recordProblems } from './record-problems.ts';
import { type Decided, decisionOf, type RunDecision } from './run-decision.ts';

export interface Verification extends Omit<Decided, 'decision'> {
  readonly folder: string;
  readonly run: string | null;
  /** What of the run was not of a real lamp on a real bench. */
  readonly artificial: readonly string[];
  /** What was decided on the run, by those who may: `refused` where anything is not as it was signed. */
  readonly decision: RunDecision | 'refused';
  /** All files are as sealed, all signatures hold, at least one by a trusted key, the policy is met, and the run is released. */
  readonly accepted: boolean;
  /** Files first that explain the others. */
  readonly problems: readonly Problem[];
  /** Sign-offs whose signatures hold, and that say what is so. */
  readonly signoffs: readonly VerifiedSignoff[];
  readonly files: number;
  /** What is no problem, but whoever relies on the run should know. */
  readonly notes: readonly string[];
}

/** How the files of a run are read, by somebody who knows of them already. */
export interface Reading {
  readonly hash?: HashFile | undefined;
  /** The record of a folder; it may lack its charts. */
  readonly record?: ((folder: string) => Promise<RunRecord>) | undefined;
}

/**
 * Checks a run folder against its manifest, its own figures and its sign-offs with the given public keys alone: no network,
 * no index. `reading` says how files are read: every byte of them, unless given.
 */
export async function verifyRun(
  folder: string,
  trusted: readonly KeyObject[],
  policy: Policy | null = null,
  reading: Reading = {},
): Promise<Verification> {
  const seal = await readSeal(folder);
  const { manifest } = seal;
  const read = await readRecord(folder, manifest, reading);
  const { record } = read;
  const run = { record, manifest: seal.digest, now: Date.now() };
  const signoffs = await checkSignoffs(folder, trusted, run);
  const files = manifest ? await fileProblems(folder, manifest, reading.hash) : [];
  const found = [...seal.problems, ...files, ...read.problems, ...signoffs.problems];
  const problems = inOrder(
    isSealAltered(seal, signoffs.manifests)
      ? [{ file: manifestFile, text: 'was changed after the run was signed' }, ...found]
      : found,
  );
  const predicates = signoffs.valid.map(({ predicate }) => predicate);
  const { decision, ...held } = record ? decisionOf(policy, record, predicates) : unread;
  const sound = problems.length === 0;
  return {
    folder,
    run: record?.id ?? manifest?.run ?? null,
    artificial: record ? artificialTexts(record) : [],
    decision: sound ? decision : 'refused',
    accepted: sound && decision === 'released',
    problems,
    signoffs: signoffs.valid,
    ...held,
    files: manifest?.files.length ?? 0,
    notes: signoffs.notes,
  };
}

/** Of a run whose record cannot be read. */
const unread: Decided = {
  ...{ decision: 'undecided', unmet: [], refused: [], heldBack: [], seats: [] },
};

function isSealAltered({ digest }: Seal, signed: ReadonlySet<string>): boolean {
  return digest !== null && signed.size > 0 && !signed.has(digest);
}

/** A file that was altered explains what the sign-offs say of it: it comes first. */
function inOrder(problems: readonly Problem[]): readonly Problem[] {
  const bySignoff = ({ file }: Problem): boolean => file.startsWith('signoffs');
  return [...problems.filter((one) => !bySignoff(one)), ...problems.filter(bySignoff)];
}

interface Seal {
  readonly manifest: Manifest | null;
  /** SHA-256 of its text. */
  readonly digest: string | null;
  readonly problems: readonly Problem[];
}

async function readSeal(folder: string): Promise<Seal> {
  const path = join(folder, manifestFile);
  const bad = (text: string, digest: string | null): Seal => ({
    manifest: null,
    digest,
    problems: [{ file: manifestFile, text }],
  });
  const read = await readPlainFile(path).catch((error: Error) => error);
  if (read instanceof ArchiveError) return bad(read.message, null);
  if (read instanceof Error)
    return bad('is missing: the run was never sealed, or its seal was removed', null);
  const text = read.toString('utf8');
  const digest = sha256(text);
  try {
    return { manifest: parseManifest(text, path), digest, problems: [] };
  } catch (error) {
    const why = (error as Error).message.split('manifest of a run: ').at(-1);
    return bad(`is no longer a manifest: ${why}`, digest);
  }
}

/** The record, and what it says that does not follow from its own figures. */
async function readRecord(
  folder: string,
  manifest: Manifest | null,
  { record: read = readSlimRecord }: Reading,
): Promise<{ readonly record: RunRecord | null; readonly problems: readonly Problem[] }> {
  let record: RunRecord;
  try {
    record = await read(folder);
  } catch (error) {
    return { record: null, problems: [{ file: recordFile, text: (error as Error).message }] };
  }
  const found = manifest ? await recordProblems(folder, record, manifest, Date.now()) : [];
  const problems = found.map((text) => ({ file: recordFile, text }));
  if (manifest && manifest.run !== record.id)
    problems.push({ file: manifestFile, text: `is of another run (${manifest.run})` });
  return { record, problems };
}
