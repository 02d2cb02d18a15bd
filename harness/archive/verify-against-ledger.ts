import type { KeyObject } from 'node:crypto';
import { join } from 'node:path';
import type { Problem } from './check-seal.ts';
import { type Ledger, ledgerBeside, readLedger } from './ledger.ts';
import {
  entriesOfRun,
  ledgerProblems,
  storedSignoffs,
  tornProblems,
  unentered,
} from './ledger-entries.ts';
import { manifestFile, sha256 } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import type { Policy } from './policy.ts';
import { type Reading, type Verification, verifyRun } from './verify-run.ts';

/** A verification that knows what was decided before. */
export interface LedgerVerification extends Verification {
  /** The ledger that the run was held against; null where there was none. */
  readonly ledger: {
    readonly file: string;
    readonly lines: number;
    /** SHA-256 of its last line. */
    readonly head: string | null;
  } | null;
}

export interface LedgerToAsk extends Reading {
  readonly policy?: Policy | null;
  /** Ledger that must be there and know every sign-off; absent: the archive's own, where it has one. */
  readonly ledger?: string | undefined;
}

/** Checks a run folder, as `verifyRun` does, and holds its sign-offs against the ledger of decisions. */
export async function verifyAgainstLedger(
  folder: string,
  trusted: readonly KeyObject[],
  { policy = null, ledger: demanded, ...reading }: LedgerToAsk = {},
): Promise<LedgerVerification> {
  const verification = await verifyRun(folder, trusted, policy, reading);
  const file = demanded ?? ledgerBeside(folder);
  const ledger = await readLedger(file);
  if (ledger === null) {
    const missing = { file, text: 'there is no ledger of decisions here, and it was asked for' };
    const problems = demanded === undefined ? [] : [missing];
    const notes = [...verification.notes, aloneNote(file)];
    return { ...refusedWith(verification, problems), ledger: null, notes };
  }
  const { problems, notes } = await heldAgainst(verification, ledger, demanded !== undefined);
  const { entries, head } = ledger;
  return {
    ...refusedWith(verification, problems),
    ledger: { file, lines: entries.length, head },
    notes: [...verification.notes, ...notes],
  };
}

function aloneNote(file: string): string {
  return `no ledger of decisions at ${file}: nothing proves that no later decision was deleted, nor that this folder is not in the place of another`;
}

interface Held {
  readonly problems: readonly Problem[];
  readonly notes: readonly string[];
}

async function heldAgainst(
  { folder, run }: Verification,
  ledger: Ledger,
  isDemanded: boolean,
): Promise<Held> {
  const { file, problem, torn } = ledger;
  if (problem !== null) return { problems: [{ file, text: problem }], notes: [] };
  const entries = run === null ? [] : entriesOfRun(ledger, run);
  const stored = await storedSignoffs(folder).catch(() => []);
  const problems = [
    ...ledgerProblems(entries, stored, await manifestDigest(folder)),
    ...tornProblems(ledger, run, stored),
  ];
  const notes: string[] = [];
  if (torn)
    notes.push(
      `${file}: its last line was cut off while it was written; the next evenfall sign mends it`,
    );
  const unknown = unentered(entries, stored);
  if (unknown.length > 0) {
    const names = unknown.map(({ signoff }) => signoff).join(', ');
    const text = `has no line of ${names}: signed elsewhere, before the ledger was kept, or cut off while signing; the next evenfall sign of this run enters it`;
    if (isDemanded) problems.push({ file, text });
    else notes.push(`${file}: ${text}`);
  }
  return { problems, notes };
}

async function manifestDigest(folder: string): Promise<string | null> {
  const bytes = await readPlainFile(join(folder, manifestFile)).catch(() => null);
  return bytes && sha256(bytes);
}

function refusedWith(verification: Verification, problems: readonly Problem[]): Verification {
  if (problems.length === 0) return verification;
  return {
    ...verification,
    decision: 'refused',
    accepted: false,
    problems: [...verification.problems, ...problems],
  };
}
