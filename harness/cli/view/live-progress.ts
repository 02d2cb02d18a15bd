import { open } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod';
import { journalFile } from '../../archive/journal.ts';
import { readRecordFile } from '../../archive/record-file.ts';
import { readRunning } from '../../archive/running-now.ts';
import { conditionSchema, type RunRecord } from '../../record/run-record.ts';
import type { LiveProgress } from '../../report/pages/archive/live-run.ts';
import { findingFigures } from '../../report/words/finding-words.ts';
import { type Placed, worstFirst } from '../../report/words/worst-first.ts';
import { rollUp, severity, type Verdict } from '../../verdict/verdict.ts';

const lineSchema = z.object({
  spec: z.string(),
  condition: z.looseObject({ verdict: z.enum(severity as [Verdict, ...Verdict[]]) }),
});

/** A claim as far as it has come. */
interface SoFar {
  readonly verdicts: readonly Verdict[];
  /** The finding that speaks most against it; null where each condition went without one. */
  readonly worst: Placed | null;
}

const nothingYet: SoFar = { verdicts: [], worst: null };

/** Follows the journal of a run: each call reads only what was written since the last one. */
export class JournalFollower {
  readonly record: RunRecord;
  readonly #file: string;
  readonly #claims = new Map<string, SoFar>();
  readonly #folder: string;
  #end = 0;
  #rest = Buffer.alloc(0);

  private constructor(folder: string, record: RunRecord) {
    this.#folder = folder;
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
    const running = new Set((await readRunning(this.#folder)).map(({ spec }) => spec));
    const claims = this.record.specs.map(({ spec, claim, verdict }) => {
      const { verdicts, worst } = this.#claims.get(spec) ?? nothingYet;
      const so = verdict === 'not applicable' ? verdict : rollUp(verdicts);
      const against = worst && so !== 'pass' ? findingFigures(worst) : null;
      return {
        ...{ spec, claim, done: verdicts.length, verdict: so, running: running.has(spec) },
        worst: against,
      };
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
    const { verdicts, worst } = this.#claims.get(spec) ?? nothingYet;
    const own = condition.verdict === 'pass' ? [] : placedIn(condition);
    this.#claims.set(spec, {
      verdicts: [...verdicts, condition.verdict],
      worst: worstFirst(worst ? [worst, ...own] : own)[0] ?? null,
    });
  }

  #forget(): void {
    this.#claims.clear();
    this.#rest = Buffer.alloc(0);
    this.#end = 0;
  }
}

/** The findings of a condition that did not pass; none where a line does not say them in full. */
function placedIn(line: object): readonly Placed[] {
  const condition = conditionSchema.safeParse(line);
  if (!condition.success) return [];
  return condition.data.findings.map((finding) => ({ condition: condition.data, finding }));
}
