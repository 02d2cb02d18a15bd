import type { Context, Handler } from 'hono';
import { streamSSE } from 'hono/streaming';
import { shortId } from '../../record/ids.ts';
import { liveRunScript } from '../../report/html/assets.js';
import { liveRun } from '../../report/pages/archive/live-run.ts';
import { whereText } from '../../report/pages/archive/run-sheet.ts';
import { archivedRun, type RunState, runState } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { JournalFollower } from './live-progress.ts';
import { sendSheet } from './send.ts';

/** How often the journal is looked at, ms. */
const pause = 500;

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

/** Server-sent events: the whole progress each time it changed, until the run is sealed or cut off. */
export function sendProgress(desk: Desk): Handler<Served> {
  return async (c) => {
    const folder = await archivedRun(desk.root, c.req.param('run') ?? '');
    const follower = await JournalFollower.open(folder);
    return streamSSE(c, async (stream) => {
      let told = '';
      while (!stream.aborted) {
        const state = await runState(folder);
        const data = JSON.stringify({ state, ...(await follower.read()) });
        if (data !== told) await stream.writeSSE({ event: 'progress', data });
        told = data;
        if (state !== 'running') return;
        await stream.sleep(pause);
      }
    });
  };
}
