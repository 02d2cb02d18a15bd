import { join } from 'node:path';
import type { Database, Row } from '../database/database.ts';
import type { FileStore } from '../files/file-store.ts';
import type { ShardRow, SubmissionRow } from '../submissions/rows.ts';
import { removeLeftFolders } from './left-folders.ts';
import { isProven } from './proven-run.ts';
import { wantedFiles } from './wanted-files.ts';

interface Parts {
  readonly database: Database;
  readonly files: FileStore;
  /** Where merged runs are. */
  readonly archive: string;
  /** The service's own. */
  readonly folder: string;
  /** How long inputs stay after the end of their submission, and all files of one that failed or was cancelled, s. */
  readonly keep: number;
  readonly signal: AbortSignal;
  readonly onError: (error: Error) => void;
}

export interface Cleared {
  readonly files: number;
  readonly bytes: number;
}

/**
 * ms for which a file stays that came or was told to be here: far longer than from there to the submission or the shard that it is for, and
 * than the clocks of two services are apart.
 */
const freshFor = 86_400_000;
/** ms after which no further run is read to prove it: the next clearing goes on. */
const provingFor = 20 * 60_000;
/** ms between two looks at a run that was not as it was sealed. */
const betweenProofs = 86_400_000;
/** Files between two notes of how many went. */
const atOnce = 500;

/** Takes away the files that nobody needs any more. Several services may do so at once, and one that is killed leaves nothing undone for good. */
export class Clearing {
  readonly #parts: Parts;
  #running: Promise<Cleared> | null = null;
  /** By submission the instant of the last look at a run that was not proven, ms since the epoch. */
  readonly #looked = new Map<string, number>();

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** One at a time in this process. */
  run(): Promise<Cleared> {
    this.#running ??= this.#clear().finally(() => {
      this.#running = null;
    });
    return this.#running;
  }

  async #clear(): Promise<Cleared> {
    const { database, files, folder, keep } = this.#parts;
    const now = Date.now();
    const [before, since] = [now - freshFor, new Date(now - 1000 * keep)];
    await files.stored.tidy(before);
    await this.#prove(before);
    const wanted = await wantedFiles(database, since);
    const open = `state in ('queued', 'running', 'merging')`;
    const inputs = { stays: `${open} or ended_at is null or ended_at >= $2`, since, before };
    await removeLeftFolders(database, join(folder, 'inputs'), inputs);
    await removeLeftFolders(database, join(folder, 'merging'), { ...inputs, stays: open });
    return this.#remove(wanted, before);
  }

  async #remove(wanted: ReadonlySet<string>, before: number): Promise<Cleared> {
    const { files, signal } = this.#parts;
    const sum = { files: 0, bytes: 0 };
    let noted = { ...sum };
    const note = async (): Promise<void> => {
      await this.#note({ files: sum.files - noted.files, bytes: sum.bytes - noted.bytes });
      noted = { ...sum };
    };
    try {
      for await (const { digest, freshAt } of files.stored.all()) {
        if (signal.aborted) break;
        if (freshAt >= before || wanted.has(digest)) continue;
        const bytes = await files.stored.remove(digest, before);
        if (bytes === null) continue;
        sum.files++;
        sum.bytes += bytes;
        if (sum.files - noted.files >= atOnce) await note();
      }
    } finally {
      await note();
    }
    return sum;
  }

  async #note({ files, bytes }: Cleared): Promise<void> {
    await this.#parts.database.query(
      'update lab.clearing set files = files + $1, bytes = bytes + $2, at = now()',
      [files, bytes],
    );
  }

  /** Reads the runs of what ended before, and remembers those that have all of it. */
  async #prove(before: number): Promise<void> {
    const { database, signal, onError } = this.#parts;
    const ended = await database.query<SubmissionRow>(
      `select * from lab.submission where state = 'ended' and proven_at is null and ended_at < $1 order by place`,
      [new Date(before).toISOString()],
    );
    const began = Date.now();
    for (const submission of ended) {
      const { id, folder } = submission;
      if (signal.aborted || Date.now() - began > provingFor) return;
      if (began - (this.#looked.get(id) ?? 0) < betweenProofs) continue;
      const why = await this.#look(submission);
      if (why === null)
        await database.query('update lab.submission set proven_at = now() where id = $1', [id]);
      else {
        this.#looked.set(id, began);
        onError(new Error(`the files of the submission ${id} stay: its run ${folder} ${why}`));
      }
    }
  }

  /** Null where its run is in the archive with all that its shards brought. */
  async #look(submission: SubmissionRow): Promise<string | null> {
    const { database, files, archive } = this.#parts;
    try {
      const shards = await database.query<ShardRow & Row>(
        'select * from lab.shard where submission = $1',
        [submission.id],
      );
      const proven = await isProven({ files, archive }, submission, shards);
      return proven ? null : 'is not in the archive as it was sealed';
    } catch (error) {
      return `cannot be read: ${(error as Error).message}`;
    }
  }
}
