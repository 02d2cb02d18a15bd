import { type ErrorHandler, Hono, type MiddlewareHandler } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { csrf } from 'hono/csrf';
import { HTTPException } from 'hono/http-exception';
import { ArchiveError } from '../../archive/archive-error.ts';
import { refusal } from '../../report/pages/archive/refusal.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { showBuilds } from './builds.ts';
import { showCompare } from './compare.ts';
import type { Desk } from './desk.ts';
import { type Door, guard, type Served } from './guard.ts';
import { sendProgress } from './live.ts';
import { showQueue } from './queue.ts';
import { showRun } from './run.ts';
import { showRuns } from './runs.ts';
import { sendSheet, strictHeaders } from './send.ts';
import { showSign, takeSign } from './sign.ts';
import { sendStoredFile, showStoredPage } from './stored-file.ts';
import { showTrend } from './trend.ts';

/** More than any form of ours can hold, less than would hurt. */
const mostBytes = 512 * 1024;

/** The pages over one archive. Whoever asks goes past the headers, the guard and the origin check first. */
export function viewApp(desk: Desk, door: Door): Hono<Served> {
  const app = new Hono<Served>();
  app.use(strictHeaders, guard(door), ...formGuards());
  app.route('/', archivePages(desk));
  app.notFound(() => {
    throw new HTTPException(404, { message: 'Page not found.' });
  });
  app.onError(errorPage(desk));
  return app;
}

/** Forms come from a page of this server, and are not too long. */
export function formGuards(): readonly MiddlewareHandler[] {
  return [csrf(), bodyLimit({ maxSize: mostBytes, onError: tooLong })];
}

/** The pages alone, for whoever guards them in another way. */
export function archivePages(desk: Desk): Hono<Served> {
  const app = new Hono<Served>();
  app.get('/', showRuns(desk));
  app.get('/builds', showBuilds(desk));
  app.get('/compare', showCompare(desk));
  app.get('/trend', showTrend(desk));
  app.get('/sign-off', showQueue(desk));
  app.get('/runs/:run', showRun(desk));
  app.get('/runs/:run/progress', sendProgress(desk));
  app.get('/runs/:run/page', showStoredPage(desk));
  app.get('/runs/:run/files/:file{.+}', sendStoredFile(desk));
  app.get('/runs/:run/sign', showSign(desk));
  app.post('/runs/:run/sign', takeSign(desk));
  return app;
}

/** Says on a page why there is none. */
export function errorPage(desk: Desk): ErrorHandler {
  return (error, c) => {
    const { status, sentence } = sayError(error, desk);
    const title =
      status === 403 ? 'Not opened' : status === 404 ? 'Not found' : 'Something went wrong';
    const body = refusal(sentence);
    return sendSheet(c, { title, closed: status === 403, body }, status);
  };
}

function tooLong(): never {
  throw new HTTPException(413, { message: 'The form is too long.' });
}

type Status = 400 | 403 | 404 | 409 | 413 | 422 | 500;
const statuses: readonly number[] = [400, 403, 404, 409, 413, 422];

function sayError(
  error: Error,
  { io }: Desk,
): { readonly status: Status; readonly sentence: string } {
  if (error instanceof HTTPException && statuses.includes(error.status)) {
    const foreign = 'The form was refused: it did not come from a page of this server.';
    return { status: error.status as Status, sentence: error.message || foreign };
  }
  if (error instanceof ArchiveError) return { status: 409, sentence: error.message };
  if (error instanceof Complaint) return { status: 422, sentence: error.message };
  io.stderr(`evenfall: unexpected error: ${error.stack ?? error.message}\n`);
  const sentence = 'Unexpected error. The terminal that runs this server shows the details.';
  return { status: 500, sentence };
}
