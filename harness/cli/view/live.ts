import type { Context, Handler } from 'hono';
import { streamSSE } from 'hono/streaming';
import { readRecordFile } from '../../archive/record-file.ts';
import { shortId } from '../../record/ids.ts';
import { liveRunScript } from '../../report/html/assets.js';
import { liveRun } from '../../report/pages/archive/live-run.ts';
import { whereText } from '../../report/pages/archive/run-sheet.ts';
import { archivedRun, type RunState } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { JournalFollower } from './live-progress.ts';
import { ProgressFeeds } from './progress-feed.ts';
import { sendSheet } from './send.ts';

/** A run in progress, or one that was cut off, as its journal tells it. */
export async function showLive(c: Context, folder: string, state: RunState): Promise<Response> {
  const follower = await JournalFollower.open(folder);
  const { record } = follower;
  const resume = `evenfall run --resume ${shortId(record.id)}`;
  const body = liveRun({ state, ...(await follower.read()) }, { resume });
  const title = `${record.lamp.name}, build ${record.lamp.build}`;
  const script = state === 'running' ? { script: liveRunScript } : {};
  return sendSheet(c, { title, where: whereText(record), place: null, body, ...script });
}

/** Server-sent events: the whole progress each time it changed, until the run is sealed or cut off, or the reader is gone. */
export function sendProgress(desk: Desk): Handler<Served> {
  const feeds = new ProgressFeeds();
  return async (c) => {
    const folder = await archivedRun(desk.root, c.req.param('run') ?? '');
    // What has no readable header is refused before the stream begins.
    await readRecordFile(folder);
    const feed = feeds.of(folder);
    return streamSSE(c, async (stream) => {
      const gone = new Promise<null>((left) => stream.onAbort(() => left(null)));
      feed.join();
      try {
        let turn = 0;
        while (!stream.aborted) {
          const told = await Promise.race([feed.after(turn), gone]);
          if (!told) return;
          await stream.writeSSE({ event: 'progress', data: told.data });
          turn = told.turn;
        }
      } finally {
        feed.leave();
      }
    });
  };
}
