import { closeSync, fdatasync, ftruncateSync, openSync, statSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import * as z from 'zod';
import { type ConditionRecord, conditionSchema } from '../record/run-record.ts';
import type { StoredFile } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';

/** What is known while a run goes on: one line per finished condition. Removed at the seal. */
export const journalFile = 'journal.ndjson';

export interface JournalEntry {
  readonly spec: string;
  readonly condition: ConditionRecord;
  /** The captures that the condition rests on, with their hashes. */
  readonly files: readonly StoredFile[];
}

const entrySchema = z.strictObject({
  journal: z.literal(1),
  spec: z.string(),
  condition: conditionSchema,
  files: z.array(z.strictObject({ file: z.string(), bytes: z.number(), sha256: z.string() })),
});

/**
 * Lines are written at once, so that they survive the end of this process, and flushed to the disk in the background,
 * several at a time where they come fast. A power cut may take the lines of the last flush; captures are held against
 * their hashes in any case (`recoverRun`).
 */
export class Journal {
  readonly #file: number;
  #end: number;
  #flush: Promise<void> | null = null;
  #flushAgain = false;
  #failure: { readonly error: unknown } | null = null;

  private constructor(file: number, end: number) {
    this.#file = file;
    this.#end = end;
  }

  /** Opens the folder's journal to append after `end` bytes; what lies beyond is a torn line and is cut off. Throws. */
  static open(folder: string, end: number): Journal {
    const file = openSync(join(folder, journalFile), end === 0 ? 'w' : 'r+');
    ftruncateSync(file, end);
    return new Journal(file, end);
  }

  /**
   * When it returns, the line survives a kill. Throws when it could not be written, or an earlier one not flushed.
   */
  append({ spec, condition, files }: JournalEntry): void {
    if (this.#failure) throw this.#failure.error;
    const head = Buffer.from(`{"journal":1,"spec":${JSON.stringify(spec)},"condition":`);
    const body = Buffer.from(JSON.stringify(condition));
    const line = Buffer.concat([head, body, Buffer.from(`,"files":${JSON.stringify(files)}}\n`)]);
    try {
      for (let done = 0; done < line.length; ) {
        done += writeSync(this.#file, line, done, line.length - done, this.#end + done);
      }
    } catch (error) {
      // Half a line must not become the beginning of the next one.
      cutOff(this.#file, this.#end);
      throw error;
    }
    this.#end += line.length;
    if (this.#flush !== null) this.#flushAgain = true;
    else this.#flush = this.#flushAll();
  }

  async #flushAll(): Promise<void> {
    try {
      do {
        this.#flushAgain = false;
        await datasync(this.#file);
      } while (this.#flushAgain);
    } catch (error) {
      this.#failure ??= { error };
    }
    this.#flush = null;
  }

  /** Resolves when every line is on the disk; rejects when one is not. */
  async close(): Promise<void> {
    await this.#flush;
    closeSync(this.#file);
    if (this.#failure) throw this.#failure.error;
  }
}

const datasync = promisify(fdatasync);

/** What cannot be cut off either is a torn line to whoever reads the journal. */
function cutOff(file: number, end: number): void {
  try {
    ftruncateSync(file, end);
  } catch {}
}

export interface ReadJournal {
  readonly entries: readonly JournalEntry[];
  /** Length of the sound part, bytes. */
  readonly end: number;
  /** The last line was cut off while being written. */
  readonly torn: boolean;
}

/** Length of a folder's journal, bytes; null where there is none. */
export function journalBytes(folder: string): number | null {
  return statSync(join(folder, journalFile), { throwIfNoEntry: false })?.size ?? null;
}

/** The journal's whole lines, up to the first that is not one; null where there is no journal. */
export async function readJournal(folder: string): Promise<ReadJournal | null> {
  let bytes: Buffer;
  try {
    bytes = await readPlainFile(join(folder, journalFile));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
  const entries: JournalEntry[] = [];
  let end = 0;
  for (let next = bytes.indexOf(10); next >= 0; next = bytes.indexOf(10, end)) {
    const entry = parseLine(bytes.toString('utf8', end, next));
    if (!entry) break;
    entries.push(entry);
    end = next + 1;
  }
  return { entries, end, torn: end < bytes.length };
}

function parseLine(line: string): JournalEntry | null {
  try {
    return entrySchema.parse(JSON.parse(line));
  } catch {
    return null;
  }
}
