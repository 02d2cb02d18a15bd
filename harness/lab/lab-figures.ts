import type { Ending } from '../verdict/verdict.ts';
import type { Database, Row } from './database/database.ts';
import type { Lab } from './lab.ts';
import { heardFor } from './lab-overview.ts';

/** Ended submissions that verdicts are taken from, the newest. */
const mostEnded = 200;
/** ms for which the size of the store is not counted again: that looks at every file. */
const sizeHolds = 60_000;

const states = ['queued', 'running', 'merging', 'ended', 'failed', 'cancelled'];

/** What a lab does, in figures: each call looks at the tables. */
export function labFigures({
  database,
  files,
  clearing,
}: Pick<Lab, 'database' | 'files' | 'clearing'>) {
  let size: { readonly at: number; readonly bytes: Promise<number> } | null = null;
  const bytes = (): Promise<number> => {
    const at = performance.now();
    if (!size || at - size.at > sizeHolds) size = { at, bytes: files.bytes() };
    return size.bytes;
  };
  return async () => ({
    ...(await queueFigures(database)),
    rigs: await rigFigures(database),
    submissions: await submissionFigures(database),
    verdicts: await lastVerdicts(database),
    cleared: clearing && (await clearedFigures(database)),
    // What failed is counted again at once.
    bytes: await bytes().catch((error) => {
      size = null;
      throw error;
    }),
  });
}

/** Counts come as texts from some drivers. */
type Count = number | string;

async function queueFigures(database: Database) {
  const [found] = await database.query<
    Row & { queued: Count; running: Count; waiting: Count | null; conditions: Count }
  >(
    `select count(*) filter (where shard.state = 'queued') as queued,
       count(*) filter (where shard.state = 'running') as running,
       extract(epoch from now() - min(submission.at) filter (where shard.state = 'queued')) as waiting,
       (select count(*) from lab.condition) as conditions
     from lab.shard join lab.submission on submission.id = shard.submission
     where shard.state in ('queued', 'running')`,
  );
  return {
    shards: { queued: Number(found?.queued ?? 0), running: Number(found?.running ?? 0) },
    oldestWaiting: Number(found?.waiting ?? 0),
    conditions: Number(found?.conditions ?? 0),
  };
}

/** A rig that runs a shard says with it that it lives. */
function rigFigures(database: Database) {
  return database.query<Row & { name: string; simulated: boolean; heard: boolean }>(
    `select name, simulated, coalesce(
       (select max(shard.heard_at) from lab.shard where shard.rig = rig.name and shard.state = 'running'),
       rig.heard_at) > now() - $1 * interval '1 second' as heard
     from lab.rig join lab.holder using (name) where revoked_at is null order by name`,
    [heardFor],
  );
}

async function clearedFigures(database: Database) {
  const [found] = await database.query<
    Row & { files: Count; bytes: Count; at: Date | null; unproven: Count }
  >(
    `select files, bytes, at, (select count(*) from lab.submission where state = 'ended' and proven_at is null
       and ended_at < now() - interval '2 days') as unproven from lab.clearing`,
  );
  return {
    ...{ files: Number(found?.files ?? 0), bytes: Number(found?.bytes ?? 0) },
    ...{ at: found?.at?.toISOString() ?? null, unproven: Number(found?.unproven ?? 0) },
  };
}

async function submissionFigures(database: Database) {
  const rows = await database.query<Row & { state: string; count: Count }>(
    'select state, count(*) as count from lab.submission group by state',
  );
  return states.map((state) => ({
    ...{ state, count: Number(rows.find((row) => row.state === state)?.count ?? 0) },
  }));
}

async function lastVerdicts(database: Database) {
  const rows = await database.query<
    Row & { lamp: string; build: string; simulated: boolean; verdict: Ending; ended_at: Date }
  >(
    `select distinct on (lamp, build, simulated) lamp, build, simulated, verdict, ended_at
     from (select * from lab.submission where state = 'ended' and verdict is not null
           order by place desc limit $1) newest
     order by lamp, build, simulated, ended_at desc`,
    [mostEnded],
  );
  return rows.map(({ lamp, build, simulated, verdict, ended_at: ended }) => ({
    ...{ lamp, build, simulated, verdict, endedAt: ended.toISOString() },
  }));
}
