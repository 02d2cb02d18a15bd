import type { Database, Row } from '../database/database.ts';
import type { StoredCondition, SubmissionRequest } from '../protocol.ts';
import { digestsOf } from '../submissions/input-folder.ts';
import type { ShardRow } from '../submissions/rows.ts';

/** It has not ended, or so lately (the first value) that its run may be wanted again. */
const lately = `(submission.ended_at is null or submission.ended_at >= $1)`;

/** What its shards brought is not in the archive, and may be wanted: it goes on, or is not proven, or failed or was cancelled lately. */
const unproven = `(submission.state in ('queued', 'running', 'merging')
  or (submission.state = 'ended' and submission.proven_at is null)
  or (submission.state in ('failed', 'cancelled') and ${lately}))`;

/**
 * Digests of all files that somebody may still want. `since`: inputs of what ended later stay. What comes to be wanted
 * while this is asked has been told to be here just before, and is fresh.
 */
export async function wantedFiles(database: Database, since: Date): Promise<ReadonlySet<string>> {
  const wanted = new Set<string>();
  const requests = await database.query<Row & { request: SubmissionRequest }>(
    `select request from lab.submission where ${lately} union all select request from lab.schedule`,
    [since.toISOString()],
  );
  for (const { request } of requests) for (const digest of digestsOf(request)) wanted.add(digest);
  const conditions = await database.query<Row & Pick<StoredCondition, 'record' | 'captures'>>(
    `select record, captures from lab.condition join lab.submission on submission.id = condition.submission
     where ${unproven}`,
    [since.toISOString()],
  );
  for (const { record, captures } of conditions)
    for (const digest of [record, ...captures.map((one) => one.digest)]) wanted.add(digest);
  const shards = await database.query<Row & Pick<ShardRow, 'files'>>(
    `select files from lab.shard join lab.submission on submission.id = shard.submission
     where files is not null and ${unproven}`,
    [since.toISOString()],
  );
  for (const { files } of shards) for (const { digest } of files ?? []) wanted.add(digest);
  return wanted;
}
