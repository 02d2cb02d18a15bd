import type { FileHandle } from 'node:fs/promises';
import { Readable } from 'node:stream';
import { type Context, Hono, type MiddlewareHandler } from 'hono';
import { mustHave } from '../../lab/access/access.ts';
import type { Lab } from '../../lab/lab.ts';
import { signoffSchema } from '../../lab/protocol.ts';
import { failedInLab } from '../../lab/submissions/failed-in-lab.ts';
import { readBody } from './read-body.ts';
import type { Served } from './who.ts';

/** What somebody needs who signs a run or submits again what did not pass in it, and what signers send. */
export function runsApi(lab: Lab): Hono<Served> {
  const app = new Hono<Served>();
  const { signOffs } = lab;
  app.get('/runs/:run/failed', async (c) => {
    mustHave(c.get('holder'), 'submit');
    const { lamp = '', simulated } = c.req.query();
    const of = { lamp, simulated: simulated === 'true' };
    return c.json(await failedInLab(lab, c.req.param('run'), of));
  });
  app.get('/ledger', signersOnly, async (c) => sendOpen(c, await signOffs.openLedger()));
  app.get('/runs/:run', signersOnly, async (c) =>
    c.json(await signOffs.runToSign(c.req.param('run'))),
  );
  app.get('/runs/:run/files/:file{.+}', signersOnly, async (c) =>
    sendOpen(c, await signOffs.openFile(c.req.param('run'), c.req.param('file'))),
  );
  app.post('/runs/:run/sign-offs', signersOnly, async (c) => {
    const sent = await readBody(c, signoffSchema);
    return c.json(await signOffs.take(c.req.param('run'), sent));
  });
  return app;
}

const signersOnly: MiddlewareHandler<Served> = async (c, next) => {
  mustHave(c.get('holder'), 'sign');
  await next();
};

function sendOpen(c: Context<Served>, file: FileHandle): Response {
  const stream = Readable.toWeb(file.createReadStream());
  return c.body(stream as ReadableStream, 200, { 'Content-Type': 'application/octet-stream' });
}
