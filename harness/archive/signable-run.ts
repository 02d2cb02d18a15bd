import { join } from 'node:path';
import { benchBrokenText } from '../record/bench-after.ts';
import { reusedText } from '../record/reused.ts';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';
import { brokenFiles, harmWord } from './broken-files.ts';
import { manifestFile, parseManifest } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import { readSlimRecord } from './record-file.ts';
import { recordProblems } from './record-problems.ts';
import { type Decision, openClaims, type Waiver } from './statement.ts';
import { unreleasable } from './statement-problems.ts';

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

/** A run that a sign-off can be about. */
export interface SignableRun {
  readonly record: RunRecord;
  /** Text of its manifest. */
  readonly manifest: string;
}

interface Asked {
  readonly decision: Decision;
  /** ISO 8601 UTC */
  readonly signedAt: string;
}

/**
 * Reads every byte of a sealed run before somebody decides on it. Throws SignRefusal where it is not as it was stored, is not complete, or
 * cannot be released and shall be.
 */
export async function signableRun(
  folder: string,
  { decision, signedAt }: Asked,
): Promise<SignableRun> {
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
  const [why] = decision === 'release' ? unreleasable(record) : [];
  if (why !== undefined) {
    throw new SignRefusal(`it ${why}; run again ${mendOf(record)}, or decide hold or reject`);
  }
  const [untrue] = await recordProblems(folder, record, manifest, Date.parse(signedAt));
  if (untrue !== undefined)
    throw new SignRefusal(`run.json cannot be right: ${untrue}; measure again`);
  return { record, manifest: text };
}

function mendOf(record: RunRecord): string {
  if (record.faults.length > 0) return 'without the fault';
  return benchBrokenText(record) === null ? 'with all captures' : 'on a bench that is mended';
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

/** Waivers with the verdicts that they waive. Throws SignRefusal where one fits no claim, or a release leaves a claim open. */
export function matchWaivers(
  record: RunRecord,
  {
    decision,
    waivers,
  }: {
    readonly decision: Decision;
    readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  },
): Waiver[] {
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
