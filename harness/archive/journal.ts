import { statSync } from 'node:fs';
import { type FileHandle, open, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod';
import { type ConditionRecord, conditionSchema } from '../record/run-record.ts';
import type { StoredFile } from './manifest.ts';

/** What is known while a run goes on: one line per finished condition, flushed before the run goes on. Removed at the seal. */
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

export class Journal {
  readonly #handle: FileHandle;
  #end: number;
  #queue: Promise<void> = Promise.resolve();

  private constructor(handle: FileHandle, end: number) {
    this.#handle = handle;
    this.#end = end;
  }

  /** Opens the folder's journal to append after `end` bytes; what lies beyond is a torn line and is cut off. */
  static async open(folder: string, end: number): Promise<Journal> {
    const handle = await open(join(folder, journalFile), end === 0 ? 'w' : 'r+');
    await handle.truncate(end);
    return new Journal(handle, end);
  }

  /** Resolves when the line is on the disk. Calls may overlap: lines do not. */
  append(entry: JournalEntry): Promise<void> {
    const line = Buffer.from(`${JSON.stringify({ journal: 1, ...entry })}\n`);
    const written = this.#queue.then(() => this.#write(line));
    this.#queue = written.catch(() => {});
    return written;
  }

  async #write(line: Uint8Array): Promise<void> {
    try {
      for (let done = 0; done < line.length; ) {
        const { bytesWritten } = await this.#handle.write(
          line,
          done,
          line.length - done,
          this.#end + done,
        );
        done += bytesWritten;
      }
      await this.#handle.datasync();
      this.#end += line.length;
    } catch (error) {
      // Half a line must not become the beginning of the next one.
      await this.#handle.truncate(this.#end).catch(() => {});
      throw error;
    }
  }

  async close(): Promise<void> {
    await this.#queue;
    await this.#handle.close();
  }
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
    bytes = await readFile(join(folder, journalFile));
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
