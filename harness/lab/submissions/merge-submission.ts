import { randomUUID } from 'node:crypto';
import { rm } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { listRunFolders } from '../../archive/find-run-folder.ts';
import { newRunId } from '../../archive/new-run-id.ts';
import { readRun } from '../../archive/read-run.ts';
import { shortId } from '../../record/ids.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { mergeRuns } from '../../workflow/merging/merge-runs.ts';
import type { RunReports } from '../../workflow/running/run-store.ts';
import type { Database } from '../database/database.ts';
import type { FileStore } from '../files/file-store.ts';
import type { NewsDesk } from './news-desk.ts';
import type { ShardRow, SubmissionRow } from './rows.ts';
import type { Submissions } from './submissions.ts';

export interface MergeParts {
  readonly database: Database;
  readonly files: FileStore;
  readonly submissions: Submissions;
  readonly newsDesk: NewsDesk;
  /** Where the runs of shards are laid out meanwhile. */
  readonly folder: string;
  readonly archive: string;
  readonly reports: () => RunReports;
  readonly signal: AbortSignal;
  /** Who says nothing for longer merges no more, s. */
  readonly silence: number;
}

/**
 * Makes one stored run of those of all shards, once: whoever is cut off in it is followed by another, and begins from the start. What cannot
 * be merged ends the submission as failed; `last`: so does anything else that goes wrong.
 */
export async function mergeSubmission(
  parts: MergeParts,
  submission: string,
  last: boolean,
): Promise<void> {
  const { database, silence } = parts;
  const merger = randomUUID();
  const [own] = await database.query<SubmissionRow>(
    `update lab.submission set merger = $2, merging_at = now() where id = $1 and state = 'merging'
       and (merger is null or merging_at < now() - $3 * interval '1 second') returning *`,
    [submission, merger, silence],
  );
  // It has ended, or another service is at it.
  if (!own) return;
  const beat = setInterval(() => void sayMerging(database, submission, merger), heartbeat);
  try {
    await endMerged(parts, own, merger);
  } catch (error) {
    const isFinal = error instanceof Complaint && error.kind !== 'interrupted';
    if (isFinal || last) await endFailed(parts, own, merger, error as Error);
    else {
      await database.query(
        `update lab.submission set merger = null where id = $1 and merger = $2`,
        [submission, merger],
      );
      throw error;
    }
  } finally {
    clearInterval(beat);
  }
}

async function endMerged(parts: MergeParts, own: SubmissionRow, merger: string): Promise<void> {
  const { database, newsDesk } = parts;
  const { record, folder } = await mergeOnce(parts, own.id);
  await database.transaction(async (within) => {
    const ended = await within.query(
      `update lab.submission set state = 'ended', verdict = $2, folder = $3, ended_at = now()
       where id = $1 and state = 'merging' and merger = $4 returning id`,
      [own.id, record.verdict, folder, merger],
    );
    // Another service took it up, and tells of its end.
    if (ended.length === 0) return;
    await newsDesk.ended(own, record, folder, within);
  });
}

async function endFailed(
  { database, newsDesk }: MergeParts,
  own: SubmissionRow,
  merger: string,
  { message: why }: Error,
): Promise<void> {
  await database.transaction(async (within) => {
    const failed = await within.query(
      `update lab.submission set state = 'failed', why = $2, ended_at = now()
       where id = $1 and state = 'merging' and merger = $3 returning id`,
      [own.id, why, merger],
    );
    if (failed.length > 0) await newsDesk.failed(own, why, within);
  });
}

/** ms between two signs that somebody merges. */
const heartbeat = 2000;

async function sayMerging(database: Database, submission: string, merger: string): Promise<void> {
  await database
    .query('update lab.submission set merging_at = now() where id = $1 and merger = $2', [
      submission,
      merger,
    ])
    // Without a database there is nobody who could begin again.
    .catch(() => {});
}

async function mergeOnce(
  parts: MergeParts,
  submission: string,
): Promise<{ readonly record: RunRecord; readonly folder: string }> {
  const { database, archive, reports, signal } = parts;
  // Known before the merge, so that a second try finds what the first one left.
  const [row] = await database.query<{ run: string }>(
    `update lab.submission set run = coalesce(run, $2) where id = $1 returning run`,
    [submission, newRunId()],
  );
  const id = row?.run ?? newRunId();
  const before = await leftBefore(archive, id);
  if (before) return before;
  const folders = await layOutShards(parts, submission);
  try {
    const setup = { archive, reports: reports(), signal, id };
    const { record, folder } = await mergeRuns(folders, setup);
    return { record, folder: basename(folder ?? '') };
  } finally {
    await rm(join(parts.folder, submission), { recursive: true, force: true });
  }
}

/** A merged run that an earlier try sealed; what it left unsealed is removed. */
async function leftBefore(
  archive: string,
  id: string,
): Promise<{ readonly record: RunRecord; readonly folder: string } | null> {
  const names = (await listRunFolders(archive)).filter((name) => name.endsWith(shortId(id)));
  for (const name of names) {
    const folder = join(archive, name);
    const { record, sealed } = await readRun(folder, { hashed: false });
    if (record.id !== id) continue;
    if (sealed) return { record, folder: name };
    await rm(folder, { recursive: true, force: true });
  }
  return null;
}

async function layOutShards(
  { files, submissions, folder }: MergeParts,
  submission: string,
): Promise<readonly string[]> {
  const own = join(folder, submission);
  await rm(own, { recursive: true, force: true });
  const shards: readonly ShardRow[] = await submissions.shardsOf(submission);
  for (const { number, files: stored } of shards)
    for (const { file, digest } of stored ?? [])
      await files.place(digest, join(own, `${number}`, file));
  return shards.map(({ number }) => join(own, `${number}`));
}
