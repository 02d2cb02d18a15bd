import { Hono } from 'hono';
import { HTTPException } from 'hono/http-exception';
import type { Lab } from '../../lab/lab.ts';
import { Refusal, type RefusalKind } from '../../lab/refusal.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import type { Io } from '../common/io.ts';
import type { Desk } from '../view/desk.ts';
import { strictHeaders } from '../view/send.ts';
import { labApi } from './api.ts';
import { labMetrics } from './metrics.ts';
import { labPages } from './pages.ts';
import type { Served } from './who.ts';

/** Status of each refusal, as RFC 9110 has them. */
const statuses = {
  invalid: 422,
  'no-token': 401,
  forbidden: 403,
  'not-found': 404,
  conflict: 409,
  missing: 409,
  'too-large': 413,
  away: 503,
} as const satisfies Record<RefusalKind, number>;

/** The service of a lab: its interface for programs below `/api`, `/metrics` for monitoring, and pages for people. */
export function labApp(lab: Lab, io: Io): Hono<Served> {
  const api = labApi(lab);
  const metrics = labMetrics(lab);
  for (const forPrograms of [api, metrics])
    forPrograms.onError((error, c) => {
      const { kind, refused } = sayError(error, io);
      if (kind === 'no-token') c.header('WWW-Authenticate', 'Bearer');
      return c.json({ kind, refused }, statuses[kind]);
    });
  const app = new Hono<Served>();
  app.use(strictHeaders);
  app.route('/api', api);
  app.all('/api/*', (c) => c.json({ kind: 'not-found', refused: 'there is nothing here' }, 404));
  app.route('/metrics', metrics);
  app.route('/', labPages(lab, deskOf(lab, io)));
  return app;
}

/** Decisions are signed with keys that are kept elsewhere. */
function deskOf({ archive, policyFile }: Lab, io: Io): Desk {
  return {
    ...{ root: archive, keyFile: null, publicFiles: [], policyFile },
    ...{ loopback: false, isLab: true, io },
  };
}

function sayError(
  error: Error,
  io: Pick<Io, 'stderr'>,
): { readonly kind: RefusalKind; readonly refused: string } {
  if (error instanceof Refusal) return { kind: error.kind, refused: error.message };
  if (error instanceof BadFiles)
    return { kind: 'invalid', refused: error.rendered({ colour: false }) };
  if (error instanceof Complaint) return { kind: 'invalid', refused: error.message };
  if (error instanceof HTTPException)
    return { kind: error.status === 413 ? 'too-large' : 'invalid', refused: error.message };
  // Whatever it is, the sender may try again: nothing is acknowledged that is not stored.
  io.stderr(`evenfall: ${error.message}\n`);
  return { kind: 'away', refused: 'the lab cannot do this now; try again' };
}
