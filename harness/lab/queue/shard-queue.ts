import { createHash } from 'node:crypto';
import { setTimeout as wait } from 'node:timers/promises';
import PgBoss from 'pg-boss';
import type { News } from '../../workflow/news/news.ts';
import type { Database, Statements } from '../database/database.ts';

/** What waits in the queue: a shard of a submission. */
export interface QueuedShard {
  readonly submission: string;
  readonly number: number;
}

/** A shard to put into a queue. */
export interface ShardJob extends QueuedShard {
  readonly id: string;
  /** After this time it is handed to another rig whatever is heard of it, s. */
  readonly expiresIn: number;
}

/** A message on its way to one target. */
export interface NewsJob {
  readonly news: News;
  readonly target: string;
}

/** What the names of the queues of shards begin with. */
const shardQueues = 'shards-';

/** Name of the queue of the shards of a submission that these rigs can prove. */
export function shardQueueName(submission: string, rigs: readonly string[]): string {
  const digest = createHash('sha256').update(rigs.join('\n')).digest('hex');
  return `${shardQueues}${submission}-${digest.slice(0, 8)}`;
}

const newsQueue = 'news';
/** Tries of a message: the pauses between them double from this, s. They end within a day. */
const newsTries = { retryLimit: 15, retryDelay: 2, retryBackoff: true } as const;

/** Queue of submissions whose shards have all ended. */
const mergeQueue = 'merge';
/** Queue of the clearings of the store of files: one an hour, however many services there are. */
const clearingQueue = 'clearing';
const clearingTimes = '23 * * * *';

/** s */
const poll = 0.5;

/**
 * The job queue of the lab: `pg-boss` in the lab's own database. Shards that the same rigs can prove wait in one queue; whoever takes one
 * has it alone until it is completed, failed or expired.
 */
export class ShardQueue {
  readonly #boss: PgBoss;
  readonly #life: AbortController;
  /** How often a shard is begun at most. */
  readonly #attempts: number;

  private constructor(boss: PgBoss, attempts: number, life: AbortController) {
    this.#boss = boss;
    this.#life = life;
    this.#attempts = attempts;
  }

  /** `onError` hears of what goes wrong between calls, such as a database that is away. */
  static async start(
    database: Database,
    { attempts, onError }: { readonly attempts: number; readonly onError: (error: Error) => void },
  ): Promise<ShardQueue> {
    const life = new AbortController();
    const boss = new PgBoss({
      db: patient(database, life.signal),
      schema: 'lab_queue',
      maintenanceIntervalSeconds: 10,
      monitorStateIntervalSeconds: 60,
    });
    boss.on('error', onError);
    await boss.start();
    await boss.createQueue(mergeQueue, { name: mergeQueue, retryLimit: 3, retryDelay: 5 });
    await boss.createQueue(newsQueue, { name: newsQueue, ...newsTries });
    return new ShardQueue(boss, attempts, life);
  }

  async createQueue(name: string): Promise<void> {
    await this.#boss.createQueue(name, { name, retryLimit: this.#attempts - 1 });
  }

  /** With all jobs that it ever had: the database keeps no queue away from its jobs. */
  async deleteQueue(name: string, jobs: readonly string[]): Promise<void> {
    if (jobs.length > 0) await this.#boss.deleteJob(name, [...jobs]);
    await this.#boss.deleteQueue(name);
  }

  /** Those that shards wait in, or waited in. */
  async shardQueues(): Promise<readonly { readonly name: string; readonly createdOn: Date }[]> {
    const queues = await this.#boss.getQueues();
    return queues
      .filter(({ name }) => name.startsWith(shardQueues))
      .map(({ name, createdOn }) => ({ name, createdOn: new Date(createdOn) }));
  }

  /** Within a transaction that stores the shards as well. */
  async send(queue: string, jobs: readonly ShardJob[], within: Statements): Promise<void> {
    const inserts = jobs.map(({ id, expiresIn, ...data }) => ({
      ...{ id, name: queue, data, expireInSeconds: Math.ceil(expiresIn) },
      retryLimit: this.#attempts - 1,
    }));
    await this.#boss.insert(inserts, { db: adapter(within) });
  }

  /**
   * The next shard of a queue, which is the caller's with the end of the transaction; null where none waits. A service that dies before that
   * has taken nothing.
   */
  async take(
    queue: string,
    within: Statements,
  ): Promise<(QueuedShard & { readonly job: string }) | null> {
    const [job] = (await this.#boss.fetch<QueuedShard>(queue, { db: adapter(within) })) ?? [];
    return job ? { ...job.data, job: job.id } : null;
  }

  async complete(queue: string, job: string, within: Statements): Promise<void> {
    await this.#boss.complete(queue, job, {}, { db: adapter(within) });
  }

  /** Hands a shard to the next rig; false where it was begun too often, and is given up. */
  async handOn(queue: string, job: string, why: string, within: Statements): Promise<boolean> {
    const db = adapter(within);
    await this.#boss.fail(queue, job, { why }, { db });
    const now = await this.#boss.getJobById(queue, job, { db, includeArchive: false });
    return now?.state === 'retry' || now?.state === 'created';
  }

  async cancel(queue: string, jobs: readonly string[], within: Statements): Promise<void> {
    if (jobs.length > 0) await this.#boss.cancel(queue, [...jobs], { db: adapter(within) });
  }

  async sendMerge(submission: string, within: Statements): Promise<void> {
    await this.#boss.insert(
      [
        {
          name: mergeQueue,
          data: { submission },
          retryLimit: 3,
          retryDelay: 5,
          expireInSeconds: 3600,
        },
      ],
      { db: adapter(within) },
    );
  }

  /** Calls `merge` for each submission whose shards have ended, one at a time; what it rejects with is tried again three times. `last`: it is the last try. */
  async workMerges(merge: (submission: string, last: boolean) => Promise<void>): Promise<void> {
    const options = { pollingIntervalSeconds: poll, includeMetadata: true as const };
    await this.#boss.work<{ submission: string }>(mergeQueue, options, async (jobs) => {
      for (const { data, retryCount, retryLimit } of jobs)
        await merge(data.submission, retryCount >= retryLimit);
    });
  }

  async sendNews(job: NewsJob, within: Statements): Promise<void> {
    await this.#boss.send(newsQueue, job, { db: adapter(within), ...newsTries });
  }

  /** Calls `deliver` for each message; what it rejects with is tried again. */
  async workNews(deliver: (job: NewsJob) => Promise<void>): Promise<void> {
    await this.#boss.work<NewsJob>(newsQueue, { pollingIntervalSeconds: poll }, async (jobs) => {
      for (const { data } of jobs) await deliver(data);
    });
  }

  /** Calls `clear` once an hour, by the queue's own clock; what it rejects with is not tried again before the next hour. */
  async workClearings(clear: () => Promise<unknown>): Promise<void> {
    const expireInSeconds = 6 * 3600;
    await this.#boss.createQueue(clearingQueue, {
      ...{ name: clearingQueue, policy: 'short', retryLimit: 0, expireInSeconds },
    });
    await this.#boss.schedule(clearingQueue, clearingTimes, {}, { tz: 'UTC' });
    await this.#boss.work(clearingQueue, { pollingIntervalSeconds: 2 }, clear);
  }

  /** No service clears any more until one of them wants it again. */
  async endClearings(): Promise<void> {
    await this.#boss.unschedule(clearingQueue);
  }

  /** Calls `submit` at the times of a schedule, by the queue's own clock: once, however many services there are. */
  async schedule(name: string, cron: string, zone: string): Promise<void> {
    const queue = scheduleQueue(name);
    await this.#boss.createQueue(queue, { name: queue, retryLimit: 3, retryDelay: 30 });
    await this.#boss.schedule(queue, cron, { schedule: name }, { tz: zone });
  }

  async unschedule(name: string): Promise<void> {
    await this.#boss.unschedule(scheduleQueue(name));
    await this.#boss.deleteQueue(scheduleQueue(name));
  }

  async workSchedule(name: string, submit: (name: string) => Promise<void>): Promise<void> {
    const options = { pollingIntervalSeconds: 2 };
    await this.#boss.work(scheduleQueue(name), options, () => submit(name));
  }

  async stopWorkSchedule(name: string): Promise<void> {
    await this.#boss.offWork(scheduleQueue(name));
  }

  /** Ends what it began; the database stays open. */
  async stop(): Promise<void> {
    // Nobody waits for a database any more that is away.
    this.#life.abort();
    await this.#boss.stop({ graceful: true, wait: true, timeout: 10_000, close: false });
  }
}

function scheduleQueue(name: string): string {
  return `schedule-${name}`;
}

/** ms between two tries of a statement. */
const pause = 500;

/**
 * Between our own calls the queue looks after itself, and an error of a worker there would end the service: while the database is away
 * its statements wait.
 */
function patient(database: Database, life: AbortSignal): PgBoss.Db {
  const { executeSql } = adapter(database);
  return {
    executeSql: async (text, values) => {
      for (;;) {
        try {
          return await executeSql(text, values);
        } catch (error) {
          if (life.aborted || !isAway(error)) throw error;
          await wait(pause);
        }
      }
    },
  };
}

/** The connection failed, or the server is going down or coming up (PostgreSQL, appendix A: classes 08 and 57P). */
function isAway(error: unknown): boolean {
  const { code = '', message = '' } = error as { code?: string; message?: string };
  return /^(ECONN|ENOENT|EPIPE|ETIMEDOUT|08|57P)/.test(code) || /connection|timeout/i.test(message);
}

function adapter(statements: Statements): PgBoss.Db {
  return {
    executeSql: async (text, values: unknown[] | undefined) => {
      const rows = await statements.query(text, values);
      return { rows: [...rows], rowCount: rows.length };
    },
  };
}
