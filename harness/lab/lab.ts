import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { NewsFile } from '../workflow/news/read-news.ts';
import type { Environment } from '../workflow/news/secret.ts';
import type { RunReports } from '../workflow/running/run-store.ts';
import { Access } from './access/access.ts';
import { Clearing } from './clearing/clearing.ts';
import type { Database } from './database/database.ts';
import { openDatabase } from './database/open-database.ts';
import { FileStore } from './files/file-store.ts';
import { ShardQueue } from './queue/shard-queue.ts';
import { Leases } from './rigs/leases.ts';
import { OpenShards } from './rigs/open-shards.ts';
import { Rigs } from './rigs/rigs.ts';
import { SignOffs } from './signing/sign-offs.ts';
import { clearQueues } from './submissions/clear-queues.ts';
import { mergeSubmission } from './submissions/merge-submission.ts';
import { NewsDesk } from './submissions/news-desk.ts';
import { Schedules } from './submissions/schedules.ts';
import { Submissions } from './submissions/submissions.ts';

export interface LabSetup {
  /** Of the files, the inputs and, without a server, the database. Several services of one lab share it. */
  readonly folder: string;
  /** Takes the merged runs. */
  readonly archive: string;
  /** URL of a PostgreSQL server; absent: the one within this process. */
  readonly database: string | undefined;
  /** Policy file that decisions are held against; null: whoever may sign may decide. */
  readonly policyFile: string | null;
  readonly reports: () => RunReports;
  /** A rig that is silent for longer has lost its shard, s. */
  readonly silence: number;
  /** How often a shard is begun at most. */
  readonly attempts: number;
  /** How long inputs stay after the end of their submission, and all files of one that failed or was cancelled, s; null: no file is ever cleared. */
  readonly keepFiles: number | null;
  /** Who is told of what ended; null: nobody. */
  readonly news: NewsFile | null;
  readonly env: Environment;
  readonly signal: AbortSignal;
  /** Hears of what goes wrong between requests. */
  readonly onError: (error: Error) => void;
}

/** A lab that is open: what the service asks. */
export interface Lab {
  readonly archive: string;
  readonly database: Database;
  readonly access: Access;
  readonly files: FileStore;
  readonly rigs: Rigs;
  readonly submissions: Submissions;
  readonly leases: Leases;
  readonly schedules: Schedules;
  readonly signOffs: SignOffs;
  /** Null where no file is ever cleared. */
  readonly clearing: Clearing | null;
  readonly policyFile: string | null;
  close(): Promise<void>;
}

/** ms between two looks at silent rigs, at most. */
const mostBetweenSweeps = 5000;

/** ms between two looks at schedules that another service may have made. */
const betweenFollows = 10_000;

/** Opens a lab and works its queue until it is closed. Rejects with a Complaint where its database cannot be used. */
export async function openLab(setup: LabSetup): Promise<Lab> {
  const { folder, archive, policyFile, reports, silence, attempts, keepFiles, signal, onError } =
    setup;
  await mkdir(archive, { recursive: true });
  const database = await openDatabase({ url: setup.database, folder }, onError);
  const queue = await ShardQueue.start(database, { attempts, onError });
  const files = new FileStore(join(folder, 'files'));
  const rigs = new Rigs(database);
  const inputs = join(folder, 'inputs');
  const submissions = new Submissions({
    ...{ database, queue, files, rigs, archive },
    folder: inputs,
  });
  const open = new OpenShards({ database, rigs, submissions });
  const newsDesk = new NewsDesk({ queue, news: setup.news, env: setup.env, onError });
  const leases = new Leases({ database, queue, files, open, newsDesk, silence });
  const merging = join(folder, 'merging');
  const parts = {
    ...{ database, files, submissions, newsDesk, archive, reports, signal, silence },
    folder: merging,
  };
  await queue.workMerges((submission, last) => mergeSubmission(parts, submission, last));
  await queue.workNews((job) => newsDesk.deliver(job));
  const clearing =
    keepFiles === null
      ? null
      : new Clearing({ database, files, archive, folder, keep: keepFiles, signal, onError });
  if (clearing) await queue.workClearings(() => clearing.run());
  else await queue.endClearings();
  const access = new Access(database);
  const schedules = new Schedules({ database, queue, files, access, submissions, onError });
  await schedules.follow();
  const follows = repeatedly(betweenFollows, () => schedules.follow().catch(onError));
  const sweeps = repeatedly(Math.min(mostBetweenSweeps, 250 * silence), () =>
    leases
      .sweep()
      .then(() => leases.sweepMerges())
      .then(() => clearQueues({ database, queue }))
      .catch(onError),
  );
  return {
    ...{ archive, database, access, files, rigs, submissions, leases, schedules },
    ...{ signOffs: new SignOffs({ archive, submissions, policyFile }), clearing, policyFile },
    close: async () => {
      await Promise.all([sweeps.stop(), follows.stop()]);
      await queue.stop();
      await database.close();
    },
  };
}

/** Calls `work` again and again, each time after the last has ended. */
function repeatedly(
  pause: number,
  work: () => Promise<void>,
): { readonly stop: () => Promise<void> } {
  let timer: NodeJS.Timeout | undefined;
  let running: Promise<void> = Promise.resolve();
  let isOver = false;
  const next = (): void => {
    timer = setTimeout(() => {
      running = work().then(() => {
        if (!isOver) next();
      });
    }, pause);
  };
  next();
  return {
    stop: async () => {
      isOver = true;
      clearTimeout(timer);
      await running;
    },
  };
}
