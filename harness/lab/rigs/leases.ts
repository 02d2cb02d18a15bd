import { randomUUID } from 'node:crypto';
import { conditionId } from '../../record/ids.ts';
import type { EarlierBench } from '../../record/shard-record.ts';
import type { Database, Row, Statements } from '../database/database.ts';
import type { FileStore } from '../files/file-store.ts';
import {
  type BenchOfRun,
  type EndedShard,
  type Lease,
  type LeaseState,
  readCondition,
  type StoredCondition,
  type SubmissionRequest,
} from '../protocol.ts';
import type { ShardQueue } from '../queue/shard-queue.ts';
import { Refusal } from '../refusal.ts';
import { digestsOf } from '../submissions/input-folder.ts';
import type { NewsDesk } from '../submissions/news-desk.ts';
import type { ShardRow, SubmissionRow } from '../submissions/rows.ts';
import { giveUpShards } from '../submissions/submissions.ts';
import type { OpenShards } from './open-shards.ts';

interface Parts {
  readonly database: Database;
  readonly queue: ShardQueue;
  readonly files: FileStore;
  readonly open: OpenShards;
  readonly newsDesk: NewsDesk;
  /** A rig that is silent for longer has lost its shard, s. */
  readonly silence: number;
}

/** Who has which shard. A lease is its proof, and is worth nothing once the shard is another's. */
export class Leases {
  readonly #parts: Parts;

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** The next shard that a rig can prove; null where none waits. */
  async take(rig: string): Promise<Lease | null> {
    const { database, open } = this.#parts;
    for (const { queue } of await open.queuesFor(rig)) {
      const lease = randomUUID();
      const held = await database.transaction((within) =>
        this.#takeFrom(queue, rig, lease, within),
      );
      if (held) return this.#lease(held, lease);
    }
    return null;
  }

  async #takeFrom(
    name: string,
    rig: string,
    lease: string,
    within: Statements,
  ): Promise<ShardRow | null> {
    const { queue } = this.#parts;
    const taken = await queue.take(name, within);
    if (!taken) return null;
    const [shard] = await within.query<ShardRow>(
      `update lab.shard set state = 'running', lease = $3, rig = $4, attempts = attempts + 1, heard_at = now(),
         expires_at = now() + greatest(3600, 10 * rig_time) * interval '1 second', condition = null, why = null
       where submission = $1 and number = $2 and state in ('queued', 'running') returning *`,
      [taken.submission, taken.number, lease, rig],
    );
    if (!shard) {
      // It has ended meanwhile in another way.
      await queue.complete(name, taken.job, within);
      return null;
    }
    await within.query(
      `update lab.submission set state = 'running' where id = $1 and state = 'queued'`,
      [taken.submission],
    );
    return shard;
  }

  async #lease(shard: ShardRow, lease: string): Promise<Lease> {
    const { database } = this.#parts;
    const [submission] = await database.query<SubmissionRow>(
      'select * from lab.submission where id = $1',
      [shard.submission],
    );
    const [of] = await database.query<{ count: string | number }>(
      'select count(*) as count from lab.shard where submission = $1',
      [shard.submission],
    );
    if (!submission || !of) throw new Error('a shard without its submission');
    const conditions = await this.#stored(shard);
    const whole = [...submission.whole];
    return {
      ...{ lease, submission: shard.submission, request: submission.request },
      shard: { number: shard.number, of: Number(of.count), whole },
      claims: [...shard.claims],
      earlier: await this.#earlier(shard, conditions),
      conditions: [...conditions],
    };
  }

  async #stored({ submission, number }: ShardRow): Promise<readonly StoredCondition[]> {
    return this.#parts.database.query<StoredCondition & Row>(
      `select run, spec, key, repeat, record, captures from lab.condition where submission = $1 and number = $2 order by at`,
      [submission, number],
    );
  }

  async #earlier(
    { submission, number }: ShardRow,
    conditions: readonly StoredCondition[],
  ): Promise<EarlierBench[]> {
    const parts = await this.#parts.database.query<{ run: string; bench: BenchOfRun }>(
      'select run, bench from lab.part where submission = $1 and number = $2 order by at',
      [submission, number],
    );
    return parts
      .map(({ run, bench }) => ({
        ...bench,
        conditions: conditions
          .filter((one) => one.run === run)
          .map(({ spec, key, repeat }) => ({ spec, key, repeat })),
      }))
      .filter((one) => one.conditions.length > 0);
  }

  /** Whether a file is an input of a shard that the rig has, or of what others had stored of it. */
  async needs(rig: string, digest: string): Promise<boolean> {
    const shards = await this.#parts.database.query<ShardRow & { request: SubmissionRequest }>(
      `select shard.*, submission.request from lab.shard join lab.submission on submission.id = shard.submission
       where shard.rig = $1 and shard.state = 'running'`,
      [rig],
    );
    for (const shard of shards) {
      if (digestsOf(shard.request).includes(digest)) return true;
      const stored = await this.#stored(shard);
      const digests = stored.flatMap((one) => [
        one.record,
        ...one.captures.map((own) => own.digest),
      ]);
      if (digests.includes(digest)) return true;
    }
    return false;
  }

  /** Whether a lease is still the rig's. */
  async state(lease: string, rig: string): Promise<LeaseState> {
    const [found] = await this.#parts.database.query<{ state: string }>(
      'select state from lab.shard where lease = $1 and rig = $2',
      [lease, rig],
    );
    if (!found) return 'gone';
    if (found.state === 'running') return 'yours';
    return found.state === 'ended' ? 'ended' : 'gone';
  }

  /** The rig lives and works on the shard. Rejects with a Refusal where it is not its own any more. */
  async alive(lease: string, rig: string, condition: string | null): Promise<void> {
    const found = await this.#parts.database.query(
      `update lab.shard set heard_at = now(), condition = $3
       where lease = $1 and rig = $2 and state = 'running' returning number`,
      [lease, rig, condition],
    );
    if (found.length === 0) throw lost();
  }

  /** The bench that its run has. */
  async begun(lease: string, rig: string, bench: BenchOfRun): Promise<void> {
    await this.#parts.database.transaction(async (within) => {
      const { submission, number } = await own(lease, rig, within);
      await within.query(
        `insert into lab.part (submission, number, run, bench) values ($1, $2, $3, $4::jsonb) on conflict do nothing`,
        [submission, number, bench.run, JSON.stringify(bench)],
      );
    });
  }

  /** A condition of it has ended, and its files are here. */
  async store(lease: string, rig: string, condition: StoredCondition): Promise<void> {
    const { database, files } = this.#parts;
    const { run, spec, key, repeat, record, captures } = condition;
    const digests = [record, ...captures.map(({ digest }) => digest)];
    await files.mustHave(digests, 'files of the condition');
    mustBeOf(condition, await files.read(record));
    await database.transaction(async (within) => {
      const { submission, number, claims } = await own(lease, rig, within);
      if (!claims.includes(spec))
        throw new Refusal('invalid', `expected a condition of this shard, found one of ${spec}`);
      await within.query(
        `insert into lab.condition (submission, number, spec, key, repeat, run, record, captures)
         values ($1, $2, $3, $4, $5, $6, $7, $8::jsonb) on conflict do nothing`,
        [submission, number, spec, key, repeat, run, record, JSON.stringify(captures)],
      );
    });
  }

  /** The run of the shard is sealed, and its files are here: it is not run again. */
  async end(lease: string, rig: string, { run, files }: EndedShard): Promise<void> {
    const { database, queue } = this.#parts;
    const digests = files.map(({ digest }) => digest);
    await this.#parts.files.mustHave(digests, 'files of the run');
    await database.transaction(async (within) => {
      const { submission, number, queue: name, job } = await own(lease, rig, within);
      await within.query(
        `update lab.shard set state = 'ended', run = $3, files = $4::jsonb, condition = null, ended_at = now()
         where submission = $1 and number = $2`,
        [submission, number, run, JSON.stringify(files)],
      );
      await queue.complete(name, job, within);
      const left = await within.query(
        `select number from lab.shard where submission = $1 and state <> 'ended' limit 1`,
        [submission],
      );
      if (left.length > 0) return;
      await within.query(
        `update lab.submission set state = 'merging', merging_at = now() where id = $1`,
        [submission],
      );
      await queue.sendMerge(submission, within);
    });
  }

  /** The rig cannot go on with it. */
  async handBack(
    lease: string,
    rig: string,
    { why, pause }: { readonly why: string; readonly pause: number },
  ): Promise<void> {
    await this.#parts.database.transaction(async (within) => {
      const shard = await own(lease, rig, within);
      if (pause > 0)
        await within.query(
          `insert into lab.decline (rig, submission, number, why, until)
           values ($1, $2, $3, $4, now() + $5 * interval '1 second')
           on conflict (submission, number, rig) do update set why = $4, at = now(), until = now() + $5 * interval '1 second'`,
          [rig, shard.submission, shard.number, why, pause],
        );
      await this.#handOn(shard, `${rig}: ${why}`, within);
    });
  }

  /** Hands on what silent rigs have, and what takes far longer than it should. To be called every few seconds, by any service. */
  async sweep(): Promise<void> {
    const { database, silence } = this.#parts;
    const late = await database.query<ShardRow>(
      `select * from lab.shard where state = 'running'
         and (heard_at < now() - $1 * interval '1 second' or expires_at < now())`,
      [silence],
    );
    for (const { lease, rig } of late)
      await database.transaction(async (within) => {
        const [shard] = await within.query<ShardRow>(
          `select * from lab.shard where lease = $1 and state = 'running'
             and (heard_at < now() - $2 * interval '1 second' or expires_at < now()) for update`,
          [lease, silence],
        );
        if (shard) await this.#handOn(shard, `${rig} was not heard of any more`, within);
      });
  }

  /** A merge whose service is not heard of any more is begun again by another. To be called as `sweep` is. */
  async sweepMerges(): Promise<void> {
    const { database, queue, silence } = this.#parts;
    await database.transaction(async (within) => {
      const left = await within.query<{ id: string }>(
        `update lab.submission set merging_at = now(), merger = null
         where state = 'merging' and merging_at < now() - $1 * interval '1 second' returning id`,
        [silence],
      );
      for (const { id } of left) await queue.sendMerge(id, within);
    });
  }

  async #handOn(
    { submission, number, queue: name, job }: ShardRow,
    why: string,
    within: Statements,
  ): Promise<void> {
    const { queue, newsDesk } = this.#parts;
    const again = await queue.handOn(name, job, why, within);
    await within.query(
      `update lab.shard set state = $3, lease = null, condition = null, why = $4 where submission = $1 and number = $2`,
      [submission, number, again ? 'queued' : 'failed', why],
    );
    if (again) return;
    const reason = `shard ${number} was begun too often without an end; the last time ${why}`;
    const [row] = await within.query<SubmissionRow>(
      `update lab.submission set state = 'failed', why = $2, ended_at = now() where id = $1 returning *`,
      [submission, reason],
    );
    if (row) await newsDesk.failed(row, reason, within);
    await giveUpShards(submission, queue, within);
  }
}

/** The shard of a lease, locked until the transaction ends. */
async function own(lease: string, rig: string, within: Statements): Promise<ShardRow> {
  const [found] = await within.query<ShardRow>(
    `select * from lab.shard where lease = $1 and rig = $2 and state = 'running' for update`,
    [lease, rig],
  );
  if (!found) throw lost();
  return found;
}

function lost(): Refusal {
  return new Refusal(
    'conflict',
    'this shard is not yours any more: it was handed to another rig, or its submission has ended',
  );
}

/** The record has to be of the condition that it is sent for, with the captures that come with it. */
function mustBeOf({ spec, key, repeat, captures }: StoredCondition, bytes: Uint8Array): void {
  let record: ReturnType<typeof readCondition>;
  try {
    record = readCondition(bytes);
  } catch (error) {
    throw new Refusal('invalid', 'expected the record of a condition, found something else', {
      cause: error,
    });
  }
  const wanted = conditionId(spec, { key, repeat });
  const found = conditionId(spec, record);
  if (found !== wanted)
    throw new Refusal('invalid', `expected the record of the condition ${wanted}, found ${found}`);
  const sent = new Set(captures.map(({ file }) => file));
  const lacking = record.captures.find((one) => one.stored !== false && !sent.has(one.file));
  if (lacking) throw new Refusal('invalid', `expected the capture ${lacking.file}, found none`);
}
