import { plainLine } from '../../files/plain-text.ts';
import { newsOfRun } from '../../workflow/news/news.ts';
import type { NewsFile } from '../../workflow/news/read-news.ts';
import { sendNews } from '../../workflow/news/send-news.ts';
import type { FinishedRun } from '../../workflow/running/run-and-store.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import type { Io } from '../common/io.ts';
import { folderName } from './stored-run.ts';

/** Tells whom a news file names of a run that has ended. What does not arrive is a warning: the run is what it is. */
export async function tellNews(
  news: NewsFile | null,
  { record, folder }: FinishedRun,
  io: Io,
): Promise<void> {
  if (news === null) return;
  const where = folder === null ? null : folderName(folder, io);
  const use = { folder: news.folder, env: io.env, now: wallClock.now };
  for (const text of await sendNews(newsOfRun(record, where), news.targets, use))
    io.stderr(`${plainLine(text)}\n`);
}
