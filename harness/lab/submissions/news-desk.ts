import type { RunRecord } from '../../record/run-record.ts';
import { deliver, isFor } from '../../workflow/news/deliver.ts';
import { type News, newsOfRun } from '../../workflow/news/news.ts';
import type { NewsFile } from '../../workflow/news/read-news.ts';
import type { Environment } from '../../workflow/news/secret.ts';
import { Undelivered } from '../../workflow/news/undelivered.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import type { Statements } from '../database/database.ts';
import type { NewsJob, ShardQueue } from '../queue/shard-queue.ts';
import type { SubmissionRow } from './rows.ts';

interface Parts {
  readonly queue: ShardQueue;
  /** Who is told; null: nobody. */
  readonly news: NewsFile | null;
  readonly env: Environment;
  readonly onError: (error: Error) => void;
}

/** Tells people and programs what has ended. The queue keeps each message until it is delivered, or was tried often enough. */
export class NewsDesk {
  readonly #parts: Parts;

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** Within the transaction that ends the submission. */
  async ended(
    { id }: Pick<SubmissionRow, 'id'>,
    record: RunRecord,
    folder: string,
    within: Statements,
  ): Promise<void> {
    const run = newsOfRun(record, folder);
    await this.#queue({ ...run, of: 'submission', id }, within);
  }

  async failed(row: SubmissionRow, why: string, within: Statements): Promise<void> {
    const now = wallClock.now();
    const { id, lamp, build, tags, simulated, at } = row;
    await this.#queue(
      {
        ...{ of: 'submission', id, lamp, build, serial: '', tags, rig: '', isSimulated: simulated },
        ...{ verdict: 'error', ended: `failed: ${why}`, startedAt: at.toISOString(), endedAt: now },
        ...{ claims: {}, open: [], where: null },
      },
      within,
    );
  }

  async #queue(news: News, within: Statements): Promise<void> {
    const { queue, news: file } = this.#parts;
    for (const target of file?.targets ?? [])
      if (isFor(news, target)) await queue.sendNews({ news, target: target.target }, within);
  }

  /** Delivers one message. Rejects where trying again may help. */
  async deliver({ news, target: name }: NewsJob): Promise<void> {
    const { news: file, env, onError } = this.#parts;
    const target = file?.targets.find((one) => one.target === name);
    // Another service may know it; this one's file has changed since.
    if (!file || !target) throw new Error(`there is no target ${name} in the news file any more`);
    const now = (): string => wallClock.now();
    try {
      await deliver(news, target, { folder: file.folder, env, now });
    } catch (error) {
      if (error instanceof Undelivered && error.mayTryAgain) throw error;
      onError(new Error(`news for ${name} was not delivered: ${(error as Error).message}`));
    }
  }
}
