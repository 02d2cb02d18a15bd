import type { Database } from '../database/database.ts';
import type { ShardQueue } from '../queue/shard-queue.ts';

/** A queue that nothing was put into for so long belongs to a submission that was never stored, ms. */
const neverStored = 24 * 60 * 60 * 1000;

/** Takes the queues of submissions that have ended away, whoever ended them and whatever cut that off. */
export async function clearQueues({
  database,
  queue,
}: {
  readonly database: Database;
  readonly queue: ShardQueue;
}): Promise<void> {
  const queues = await queue.shardQueues();
  if (queues.length === 0) return;
  const known = await database.query<{ queue: string; over: boolean; jobs: string[] }>(
    `select queue, bool_and(submission.state in ('ended', 'failed', 'cancelled')) as over,
       array_agg(job::text) as jobs
     from lab.shard join lab.submission on submission.id = shard.submission
     where queue = any($1) group by queue`,
    [queues.map(({ name }) => name)],
  );
  for (const { queue: name, over, jobs } of known) if (over) await queue.deleteQueue(name, jobs);
  const stored = new Set(known.map((one) => one.queue));
  for (const { name, createdOn } of queues)
    if (!stored.has(name) && Date.now() - createdOn.getTime() > neverStored)
      await queue.deleteQueue(name, []);
}
