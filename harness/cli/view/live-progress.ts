import { open } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod';
import { journalFile } from '../../archive/journal.ts';
import { readRecordFile } from '../../archive/record-file.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { LiveProgress } from '../../report/pages/archive/live-run.ts';
import { rollUp, severity, type Verdict } from '../../verdict/verdict.ts';

/** As much of a journal's line as progress is told by. */
const lineSchema = z.object({
  spec: z.string(),
  condition: z.object({ verdict: z.enum(severity as [Verdict, ...Verdict[]]) }),
});

/** Follows the journal of a run: each call reads only what was written since the last one. */
export class JournalFollower {
  readonly record: RunRecord;
  readonly #file: string;
  readonly #verdicts = new Map<string, Verdict[]>();
  #end = 0;
  #rest = Buffer.alloc(0);

  private constructor(folder: string, record: RunRecord) {
    this.#file = join(folder, journalFile);
    this.record = record;
  }

  /** Rejects with ArchiveError where there is no readable header. */
  static async open(folder: string): Promise<JournalFollower> {
    return new JournalFollower(folder, await readRecordFile(folder));
  }

  /** Progress as far as whole lines tell. */
  async read(): Promise<Omit<LiveProgress, 'state'>> {
    await this.#readOn();
    const claims = this.record.specs.map(({ spec, claim, verdict }) => {
      const verdicts = this.#verdicts.get(spec) ?? [];
      const so = verdict === 'not applicable' ? verdict : rollUp(verdicts);
      return { spec, claim, done: verdicts.length, verdict: so };
    });
    const done = claims.reduce((sum, claim) => sum + claim.done, 0);
    return { done, planned: this.record.planned ?? null, claims };
  }

  async #readOn(): Promise<void> {
    // The journal is taken away when the run is sealed: then all that it said is known.
    const handle = await open(this.#file, 'r').catch(() => null);
    if (!handle) return;
    try {
      const { size } = await handle.stat();
      // A torn line was cut off before the run went on.
      if (size < this.#end) this.#forget();
      const bytes = Buffer.alloc(size - this.#end);
      const { bytesRead } = await handle.read(bytes, 0, bytes.length, this.#end);
      this.#end += bytesRead;
      this.#take(Buffer.concat([this.#rest, bytes.subarray(0, bytesRead)]));
    } finally {
      await handle.close();
    }
  }

  #take(bytes: Buffer): void {
    let start = 0;
    for (let end = bytes.indexOf(10); end >= 0; end = bytes.indexOf(10, start)) {
      this.#line(bytes.toString('utf8', start, end));
      start = end + 1;
    }
    this.#rest = Buffer.from(bytes.subarray(start));
  }

  #line(text: string): void {
    let value: unknown;
    try {
      value = JSON.parse(text);
    } catch {
      return;
    }
    const parsed = lineSchema.safeParse(value);
    if (!parsed.success) return;
    const { spec, condition } = parsed.data;
    this.#verdicts.set(spec, [...(this.#verdicts.get(spec) ?? []), condition.verdict]);
  }

  #forget(): void {
    this.#verdicts.clear();
    this.#rest = Buffer.alloc(0);
    this.#end = 0;
  }
}
