import { constants } from 'node:fs';
import { type FileHandle, open, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import * as z from 'zod';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { clocksApart } from './clocks-apart.ts';
import { sha256 } from './manifest.ts';
import { isPlainlySpelled, otherSpelling } from './own-spelling.ts';
import { readPlainFile } from './plain-file.ts';
import { flushFolder } from './write-file-whole.ts';

/**
 * The ledger of decisions: one line for every sign-off of every run of an archive, outside the runs' folders. Lines are only ever
 * added, and each names the digest of the line before it. A run's folder alone cannot show that its newest sign-off was deleted,
 * or that all of it was put in the place of another: the ledger can, and best where it is kept elsewhere too.
 */
export function ledgerOf(archive: string): string {
  return join(archive, 'decisions.ndjson');
}

/** Of the archive that a run's folder lies in. */
export function ledgerBeside(runFolder: string): string {
  return ledgerOf(dirname(runFolder));
}

const digest = z.string().regex(/^[0-9a-f]{64}$/);
const lineSchema = z.strictObject({
  ledger: z.literal(1),
  /** When the line was written, ISO 8601 UTC. */
  time: z.string(),
  run: z.string(),
  /** SHA-256 of the run's manifest. */
  manifest: digest,
  /** The newest sign-off: its number, and its envelope's name in the run's folder and SHA-256. */
  number: z.number().int().positive(),
  signoff: z.string(),
  sha256: digest,
  /** SHA-256 of the line before, without its line end; null in the first line. */
  before: digest.nullable(),
});
type LedgerLine = z.infer<typeof lineSchema>;
/** What a line says of a sign-off. */
export type LedgerEntry = Omit<LedgerLine, 'ledger' | 'before'> & {
  /** Its place in the ledger, from 1. */
  readonly line: number;
};

export interface Ledger {
  readonly file: string;
  readonly entries: readonly LedgerEntry[];
  /** What is wrong with the ledger itself; none of it can be trusted then. Null: it is whole. */
  readonly problem: string | null;
  /** A last line that was cut off while it was written: it was never promised to anybody. */
  readonly torn: boolean;
  /** The sign-off that such a line names, as far as it can be read: it was written before its line. */
  readonly tornSignoff: { readonly run: string; readonly signoff: string } | null;
  /** Where its whole lines end, bytes. */
  readonly end: number;
  /** SHA-256 of the last line; null in an empty ledger. Whoever noted it elsewhere can tell whether lines were taken off the end. */
  readonly head: string | null;
}

/** The ledger of a file; null where there is none. Rejects with `damaged` where something else lies there. */
export async function readLedger(file: string): Promise<Ledger | null> {
  let bytes: Buffer;
  try {
    bytes = await readPlainFile(file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw fileSystemError(error, `reading the ledger of decisions ${file}`);
  }
  return parseLedger(file, bytes);
}

function parseLedger(file: string, bytes: Buffer): Ledger {
  const end = bytes.lastIndexOf(10) + 1;
  const torn = end < bytes.length;
  const texts = bytes.toString('utf8', 0, end).split('\n').slice(0, -1);
  const entries: LedgerEntry[] = [];
  let head: string | null = null;
  let problem: string | null = null;
  for (const [index, text] of texts.entries()) {
    const parsed = lineSchema.safeParse(parseJson(text));
    if (!parsed.success) problem ??= `line ${index + 1} is no line of a ledger of decisions`;
    else if (!isPlainlySpelled(text)) problem ??= `line ${index + 1} ${otherSpelling}`;
    else {
      const { ledger: _, before, ...entry } = parsed.data;
      if (before !== head)
        problem ??= `line ${index + 1} does not follow from the line before it: a line was changed, added or taken out`;
      const last = entries.at(-1);
      if (last && !follows(last.time, entry.time))
        problem ??= `line ${index + 1} is of ${entry.time}, before the line above it of ${last.time}`;
      entries.push({ ...entry, line: index + 1 });
    }
    head = sha256(text);
  }
  const tornSignoff = signoffIn(bytes.toString('utf8', end));
  return { file, entries, problem, torn, tornSignoff, end, head };
}

function signoffIn(torn: string): Ledger['tornSignoff'] {
  const [, run, signoff] = /"run":"([^"]*)".*"signoff":"([^"]*)"/.exec(torn) ?? [];
  return run !== undefined && signoff !== undefined ? { run, signoff } : null;
}

function follows(before: string, after: string): boolean {
  return Date.parse(after) >= Date.parse(before) - clocksApart;
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** The lines that enter sign-offs in a ledger whose last line has the digest `head`, each with its line end. */
export function ledgerText(
  head: string | null,
  entries: readonly Omit<LedgerEntry, 'line'>[],
): string {
  let before = head;
  const lines = entries.map(({ time, run, manifest, number, signoff, sha256: digest }) => {
    const line: LedgerLine = {
      ...{ ledger: 1, time, run, manifest, number, signoff, sha256: digest },
      before,
    };
    const text = JSON.stringify(line);
    before = sha256(text);
    return `${text}\n`;
  });
  return lines.join('');
}

/**
 * Adds lines to a ledger, which is made where there is none. To be called under its lock, with the ledger as it was read there.
 * All of the lines are written or none: what a full disk takes half of is cut off again. Throws ArchiveError.
 */
export async function appendToLedger(
  file: string,
  ledger: Ledger | null,
  entries: readonly Omit<LedgerEntry, 'line'>[],
): Promise<void> {
  if (entries.length === 0) return;
  const text = ledgerText(ledger?.head ?? null, entries);
  try {
    const isNew = ledger === null;
    const handle = await open(file, isNew ? forAppending | newFile : forAppending, 0o644);
    try {
      await writeAt(handle, Buffer.from(text), ledger?.end ?? 0);
    } catch (error) {
      if (isNew) await rm(file, { force: true }).catch(() => {});
      throw error;
    } finally {
      await handle.close();
    }
    if (isNew) await flushFolder(dirname(file));
  } catch (error) {
    throw fileSystemError(error, `entering the decision in the ledger ${file}`);
  }
}

const forAppending = constants.O_RDWR | constants.O_NOFOLLOW | constants.O_NONBLOCK;
const newFile = constants.O_CREAT | constants.O_EXCL;

/** Whole and on the disk, or cut off again. What cannot be cut off either is a torn line to whoever reads it. */
async function writeAt(handle: FileHandle, bytes: Buffer, end: number): Promise<void> {
  if (!(await handle.stat()).isFile())
    throw new ArchiveError('damaged', 'expected the ledger of decisions to be a file');
  try {
    await handle.truncate(end);
    for (let done = 0; done < bytes.length; ) {
      const { bytesWritten } = await handle.write(bytes, done, bytes.length - done, end + done);
      done += bytesWritten;
    }
    await handle.sync();
  } catch (error) {
    await handle.truncate(end).catch(() => {});
    throw error;
  }
}
