import { randomUUID } from 'node:crypto';
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { readPlainFile } from '../../archive/plain-file.ts';
import type { Database, Statements } from '../database/database.ts';
import type { FileStore } from '../files/file-store.ts';
import type { SubmissionRequest, Submitted } from '../protocol.ts';
import { type ShardQueue, shardQueueName } from '../queue/shard-queue.ts';
import { Refusal } from '../refusal.ts';
import type { Rigs } from '../rigs/rigs.ts';
import { digestsOf, layOutInputs } from './input-folder.ts';
import { type ReadSubmission, readSubmission } from './read-submission.ts';
import type { ShardRow, SubmissionRow } from './rows.ts';
import { type SplitShard, splitSubmission } from './split.ts';

/** A shard may take so many times what it is expected to before it goes to another rig, and at least this long, s. */
const overtime = { factor: 10, least: 3600 } as const;

const handedOut: readonly string[] = ['junit.xml', 'index.html', 'run.json'];

interface Parts {
  readonly database: Database;
  readonly queue: ShardQueue;
  readonly files: FileStore;
  readonly rigs: Rigs;
  /** Where inputs are laid out. */
  readonly folder: string;
  /** Where merged runs are. */
  readonly archive: string;
}

/** What was submitted to a lab. */
export class Submissions {
  readonly #parts: Parts;

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** Folder with the inputs of a submission, laid out as they were named. */
  inputs(submission: string, request: SubmissionRequest): Promise<string> {
    return layOutInputs(join(this.#parts.folder, submission), request, this.#parts.files);
  }

  /** Reads, splits, stores and queues a selection whose files are here already. Rejects with a Refusal or a Complaint where it cannot be judged. */
  async submit(request: SubmissionRequest, by: string): Promise<Submitted> {
    const { database, queue, files } = this.#parts;
    await files.mustHave(digestsOf(request), 'inputs');
    const id = randomUUID();
    const folder = await this.inputs(id, request);
    try {
      const read = readSubmission(request, folder);
      const shards = await this.#split(read, request);
      const queues = new Set(shards.map(({ rigs }) => shardQueueName(id, rigs)));
      for (const name of queues) await queue.createQueue(name);
      await database.transaction(async (within) => {
        await store({ id, by, request, read }, within);
        for (const [place, shard] of shards.entries())
          await this.#queueShard(id, place + 1, shard, within);
      });
      return {
        submission: id,
        shards: shards.map(({ claims, rigs }, place) => ({
          ...{ number: place + 1, claims: claims.length, rigs: [...rigs] },
        })),
      };
    } catch (error) {
      await rm(folder, { recursive: true, force: true });
      throw error;
    }
  }

  async #split(
    { lamp, plans }: ReadSubmission,
    { simulated, shards, shardTime }: SubmissionRequest,
  ): Promise<readonly SplitShard[]> {
    const candidates = await this.#parts.rigs.candidates(lamp, simulated);
    if (candidates.length === 0) {
      const kind = simulated ? 'simulated rig' : 'rig of real instruments';
      throw new Refusal(
        'invalid',
        `this lab has no ${kind} for the lamp ${lamp.lamp}; start one with evenfall rig serve`,
      );
    }
    const today = new Date().toISOString().slice(0, 10);
    return splitSubmission({ plans, lamp }, candidates, { shards, shardTime }, today);
  }

  async #queueShard(
    submission: string,
    number: number,
    { claims, rigs, conditions, cost }: SplitShard,
    within: Statements,
  ): Promise<void> {
    const [job, name] = [randomUUID(), shardQueueName(submission, rigs)];
    const expiresIn = Math.max(overtime.least, overtime.factor * cost);
    await within.query(
      `insert into lab.shard (submission, number, queue, job, claims, planned, rig_time, state)
       values ($1, $2, $3, $4, $5::jsonb, $6, $7, 'queued')`,
      [submission, number, name, job, JSON.stringify(claims), conditions, cost],
    );
    for (const rig of rigs)
      await within.query(
        `insert into lab.fit (submission, queue, rig, digest, why)
         select $1, $2, name, digest, null from lab.rig where name = $3 on conflict do nothing`,
        [submission, name, rig],
      );
    await this.#parts.queue.send(name, [{ id: job, submission, number, expiresIn }], within);
  }

  /** By its id, or the first eight characters of it or more. Rejects with a Refusal where there is none. */
  async find(name: string): Promise<SubmissionRow> {
    const found = await this.named(name);
    if (found) return found;
    throw new Refusal('not-found', `there is no submission ${name.slice(0, 60)}`);
  }

  /** As `find`; null where there is none. Rejects with a Refusal where several begin so. */
  async named(name: string): Promise<SubmissionRow | null> {
    if (!/^[0-9a-f]{8}[0-9a-f-]{0,28}$/.test(name)) return null;
    // A whole id is asked for each second by whoever waits: it has an index.
    const is = wholeId.test(name) ? 'id = $1' : 'starts_with(id::text, $1)';
    const [found, other] = await this.#parts.database.query<SubmissionRow>(
      `select * from lab.submission where ${is} limit 2`,
      [name],
    );
    if (!other) return found ?? null;
    throw new Refusal(
      'invalid',
      `expected the id of one submission, found ${name}, with which several begin; give more of it`,
    );
  }

  async shardsOf(submission: string): Promise<readonly ShardRow[]> {
    return this.#parts.database.query<ShardRow>(
      'select * from lab.shard where submission = $1 order by number',
      [submission],
    );
  }

  /** One of the files of its merged run that are handed out. */
  async fileOf(submission: string, name: string): Promise<Uint8Array> {
    const { folder } = await this.find(submission);
    if (folder === null) throw new Refusal('conflict', 'this submission has no run yet');
    if (!handedOut.includes(name)) throw new Refusal('not-found', `there is no file ${name}`);
    return readPlainFile(join(this.#parts.archive, folder, name));
  }

  /** Takes what still waits out of the queue; what runs is told when its rig asks next. */
  async cancel(name: string, by: string): Promise<void> {
    const { database, queue } = this.#parts;
    const { id: submission } = await this.find(name);
    await database.transaction(async (within) => {
      const ended = await within.query(
        `update lab.submission set state = 'cancelled', why = $2, ended_at = now()
         where id = $1 and state in ('queued', 'running') returning id`,
        [submission, `cancelled by ${by}`],
      );
      if (ended.length === 0)
        throw new Refusal('conflict', 'this submission has ended: there is nothing to cancel');
      await giveUpShards(submission, queue, within);
    });
  }
}

const wholeId = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

async function store(
  {
    id,
    by,
    request,
    read: { lamp, plans },
  }: {
    readonly id: string;
    readonly by: string;
    readonly request: SubmissionRequest;
    readonly read: ReadSubmission;
  },
  within: Statements,
): Promise<void> {
  const whole = plans.map(({ spec, digest }) => ({ spec, digest }));
  await within.query(
    `insert into lab.submission (id, by, state, request, whole, lamp, build, tags, simulated)
     values ($1, $2, 'queued', $3::jsonb, $4::jsonb, $5, $6, $7::jsonb, $8)`,
    [
      ...[id, by, JSON.stringify(request), JSON.stringify(whole)],
      ...[lamp.lamp, buildText(request), JSON.stringify(request.tags), request.simulated],
    ],
  );
}

/** No rig gets them any more. */
export async function giveUpShards(
  submission: string,
  queue: ShardQueue,
  within: Statements,
): Promise<void> {
  const left = await within.query<ShardRow>(
    `update lab.shard set state = 'failed', lease = null, ended_at = now()
     where submission = $1 and state in ('queued', 'running') returning *`,
    [submission],
  );
  for (const { queue: name, job } of left) await queue.cancel(name, [job], within);
}

/** What lists call a build that nobody named. */
function buildText({ build, firmware, simulated }: SubmissionRequest): string {
  return (
    build ?? firmware?.file.split('/').at(-1) ?? (simulated ? 'reference' : 'as the lamp says')
  );
}
