import cronParser from 'cron-parser';
import type { Access } from '../access/access.ts';
import type { Database, Row } from '../database/database.ts';
import type { FileStore } from '../files/file-store.ts';
import type { ScheduleRequest, SubmissionRequest } from '../protocol.ts';
import type { ShardQueue } from '../queue/shard-queue.ts';
import { Refusal } from '../refusal.ts';
import { digestsOf } from './input-folder.ts';
import type { Submissions } from './submissions.ts';

interface Parts {
  readonly database: Database;
  readonly queue: ShardQueue;
  readonly files: FileStore;
  readonly access: Access;
  readonly submissions: Submissions;
  readonly onError: (error: Error) => void;
}

interface ScheduleRow extends Row {
  readonly name: string;
  readonly cron: string;
  readonly zone: string;
  readonly by: string;
  readonly request: SubmissionRequest;
  readonly last_at: Date | null;
}

export interface ListedSchedule {
  readonly name: string;
  readonly cron: string;
  readonly zone: string;
  readonly by: string;
  /** ISO 8601 UTC */
  readonly next: string | null;
  readonly last: string | null;
  /** Why it submitted nothing the last time. */
  readonly why: string | null;
}

/** What a lab submits by itself, at the times of the queue's own clock: once each time, however many services there are. */
export class Schedules {
  readonly #parts: Parts;
  /** Those that this service works. */
  readonly #working = new Set<string>();

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** A new schedule, or another one of the same name and owner. Rejects with a Refusal. */
  async keep({ name, cron, zone, request }: ScheduleRequest, by: string): Promise<void> {
    const { database, queue, files } = this.#parts;
    mustBeCron(cron, zone);
    await files.mustHave(digestsOf(request), 'inputs');
    const kept = await database.query(
      `insert into lab.schedule (name, cron, zone, request, by) values ($1, $2, $3, $4::jsonb, $5)
       on conflict (name) do update set cron = $2, zone = $3, request = $4::jsonb, why = null
       where schedule.by = $5 returning name`,
      [name, cron, zone, JSON.stringify(request), by],
    );
    if (kept.length === 0)
      throw new Refusal(
        'conflict',
        `there is a schedule ${name} of somebody else; choose another name`,
      );
    await queue.schedule(name, cron, zone);
    await this.#workAll();
  }

  /** Rejects with a Refusal where there is none, or where it is somebody else's and `any` is false. */
  async remove(name: string, by: string, any: boolean): Promise<void> {
    const { database, queue } = this.#parts;
    const removed = await database.query(
      'delete from lab.schedule where name = $1 and (by = $2 or $3) returning name',
      [name, by, any],
    );
    if (removed.length === 0)
      throw new Refusal('not-found', `there is no schedule ${name.slice(0, 60)} of yours`);
    await queue.unschedule(name);
    await this.#workAll();
  }

  async list(): Promise<readonly ListedSchedule[]> {
    const rows = await this.#parts.database.query<ScheduleRow & { why: string | null }>(
      'select * from lab.schedule order by name',
    );
    return rows.map(({ name, cron, zone, by, last_at: last, why }) => ({
      ...{ name, cron, zone, by, why, next: nextOf(cron, zone) },
      last: last?.toISOString() ?? null,
    }));
  }

  /** Works those that are there now, whichever service they were made at. To be called now and then. */
  async #workAll(): Promise<void> {
    const { database, queue } = this.#parts;
    const rows = await database.query<{ name: string }>('select name from lab.schedule');
    const names = new Set(rows.map(({ name }) => name));
    for (const name of names)
      if (!this.#working.has(name)) {
        this.#working.add(name);
        await queue.workSchedule(name, () => this.submit(name));
      }
    for (const name of this.#working)
      if (!names.has(name)) {
        this.#working.delete(name);
        await queue.stopWorkSchedule(name);
      }
  }

  follow(): Promise<void> {
    return this.#workAll();
  }

  /** What is to happen at its time. Who set it up must still be allowed to submit. */
  async submit(name: string): Promise<void> {
    const { database, submissions, access, onError } = this.#parts;
    const [row] = await database.query<ScheduleRow>('select * from lab.schedule where name = $1', [
      name,
    ]);
    if (!row) return;
    const date = new Date().toISOString().slice(0, 10);
    const build = row.request.build?.replaceAll('{date}', date);
    let why: string | null = null;
    try {
      await access.mustStillBe(row.by, 'submit');
      await submissions.submit({ ...row.request, ...(build !== undefined && { build }) }, row.by);
    } catch (error) {
      // Tried again at its next time: what is wrong is shown until then.
      why = (error as Error).message;
      onError(new Error(`the schedule ${name} submitted nothing: ${why}`));
    }
    await database.query('update lab.schedule set last_at = now(), why = $2 where name = $1', [
      name,
      why,
    ]);
  }
}

function mustBeCron(cron: string, zone: string): void {
  try {
    cronParser.parseExpression(cron, { tz: zone }).next();
  } catch (error) {
    throw new Refusal(
      'invalid',
      `expected a time such as "30 2 * * 1-5" and a zone such as Europe/Berlin, found ${JSON.stringify(cron)} and ${JSON.stringify(zone)}: ${(error as Error).message}`,
    );
  }
  // The queue looks at its clock once a minute.
  if (cron.trim().split(/\s+/).length !== 5)
    throw new Refusal(
      'invalid',
      `expected five fields, minutes first, found ${JSON.stringify(cron)}`,
    );
}

function nextOf(cron: string, zone: string): string | null {
  try {
    return cronParser.parseExpression(cron, { tz: zone }).next().toDate().toISOString();
  } catch {
    return null;
  }
}
