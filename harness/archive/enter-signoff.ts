import { fileSystemError } from './archive-error.ts';
import { clocksApart } from './clocks-apart.ts';
import { appendToLedger, type Ledger, type LedgerEntry, readLedger } from './ledger.ts';
import {
  entriesOfRun,
  ledgerProblems,
  storedSignoffs,
  tornProblems,
  unentered,
} from './ledger-entries.ts';
import { sha256, signoffsFolder } from './manifest.ts';
import { type SignableRun, SignRefusal } from './signable-run.ts';
import { removeSignoff, type SignoffEnvelopes, writeSignoff } from './signoff-envelopes.ts';
import { releaseSuffix } from './signoff-files.ts';

/** What enters a sign-off in a ledger of decisions. */
export interface Entering {
  readonly ledger: string;
  /** ISO 8601 UTC */
  readonly signedAt: string;
  readonly make: () => Promise<SignoffEnvelopes>;
  /** Sees what is to be stored before it is; may throw. */
  readonly agree?: (made: SignoffEnvelopes, before: Ledger | null, lines: NewLines) => void;
}

type NewLines = readonly Omit<LedgerEntry, 'line'>[];

/**
 * Stores a sign-off of a run and enters it, under the ledger's lock. The ledger's line comes after the sign-off: a kill in between leaves a
 * sign-off without a line, which the next signing enters, and never a line without its sign-off, which would look like one that was
 * deleted. What cannot be entered is not stored. Throws SignRefusal where the ledger knows of a sign-off that is no longer there.
 */
export async function enterSignoff(
  folder: string,
  run: SignableRun,
  { ledger: path, signedAt: time, make, agree }: Entering,
): Promise<string> {
  const { id } = run.record;
  const ledger = await readLedger(path);
  if (ledger?.problem) throw new SignRefusal(`${path}: ${ledger.problem}`);
  const last = ledger?.entries.at(-1);
  if (last) mustFollow(time, last.time, 'the last decision in the ledger');
  const manifest = sha256(run.manifest);
  const before = await storedSignoffs(folder);
  const entries = ledger ? entriesOfRun(ledger, id) : [];
  const [vanished] = [
    ...ledgerProblems(entries, before, manifest),
    ...(ledger ? tornProblems(ledger, id, before) : []),
  ];
  if (vanished) throw new SignRefusal(`${vanished.file} ${vanished.text}`);
  const made = await make();
  const late = unentered(entries, [...before, storedAs(made)]);
  const lines = late.map((signoff) => ({ time, run: id, manifest, ...signoff }));
  agree?.(made, ledger, lines);
  const file = await writeSignoff(folder, made).catch((error) => {
    throw fileSystemError(error, `signing the run in ${folder}`);
  });
  try {
    await appendToLedger(path, ledger, lines);
    return file;
  } catch (error) {
    await removeSignoff(folder, file);
    throw error;
  }
}

function storedAs({ base, release }: SignoffEnvelopes) {
  const number = Number.parseInt(base.slice(signoffsFolder.length + 1), 10);
  return { number, signoff: base + releaseSuffix, sha256: sha256(release) };
}

/** A sign-off that is dated before what it follows is refused by whoever verifies, and cannot be taken back. */
function mustFollow(signedAt: string, before: string, what: string): void {
  if (Date.parse(signedAt) >= Date.parse(before) - clocksApart) return;
  const text = `this computer says that it is ${signedAt}, before ${what} at ${before}; set its clock`;
  throw new SignRefusal(text);
}
