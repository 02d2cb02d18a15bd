import { createHash } from 'node:crypto';
import { Readable } from 'node:stream';
import { Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { mustHave } from '../../lab/access/access.ts';
import type { Lab } from '../../lab/lab.ts';
import {
  aliveSchema,
  benchSchema,
  digestsSchema,
  endedSchema,
  handBackSchema,
  holderSchema,
  registrationSchema,
  requestSchema,
  scheduleSchema,
  storedConditionSchema,
} from '../../lab/protocol.ts';
import { Refusal } from '../../lab/refusal.ts';
import { readBody } from './read-body.ts';
import { runsApi } from './runs-api.ts';
import { bearer, rigOf, type Served } from './who.ts';

/** Bytes of JSON, and of one piece of a file. */
const mostJson = 32 * 2 ** 20;
const mostPiece = 16 * 2 ** 20;

/** What people and rigs ask of a lab over HTTP. */
export function labApi(lab: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.use(bearer(lab));
  app.get('/me', (c) => c.json(c.get('holder')));
  app.route('/files', filesApi(lab));
  const json = new Hono<Served>();
  json.use(bodyLimit({ maxSize: mostJson, onError: tooLong }));
  json.route('/submissions', submissionsApi(lab));
  json.route('/rigs', rigsApi(lab));
  json.route('/leases', leasesApi(lab));
  json.route('/schedules', schedulesApi(lab));
  json.route('/holders', holdersApi(lab));
  json.route('/', runsApi(lab));
  app.route('/', json);
  return app;
}

function tooLong(): never {
  throw new Refusal('too-large', 'what was sent is longer than anything that the lab takes');
}

function filesApi({ files, leases }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.post('/missing', bodyLimit({ maxSize: mostJson, onError: tooLong }), async (c) => {
    mustHave(c.get('holder'), 'submit', 'run');
    const { digests } = await readBody(c, digestsSchema);
    return c.json({ missing: await files.missing(digests) });
  });
  app.get('/:digest/received', async (c) => {
    mustHave(c.get('holder'), 'submit', 'run');
    return c.json({ bytes: await files.received(c.req.param('digest'), c.get('holder').name) });
  });
  app.put('/:digest', bodyLimit({ maxSize: mostPiece, onError: tooLong }), async (c) => {
    const holder = c.get('holder');
    mustHave(holder, 'submit', 'run');
    const { body } = c.req.raw;
    await files.add({
      digest: c.req.param('digest'),
      sender: holder.name,
      from: byteCount(c.req.query('from'), 'from'),
      of: byteCount(c.req.query('of'), 'of'),
      bytes: body
        ? Readable.fromWeb(body as Parameters<typeof Readable.fromWeb>[0])
        : Readable.from([]),
    });
    return c.json({});
  });
  // A rig sees what it needs for the shard that it has, and nothing else.
  app.get('/:digest', async (c) => {
    const [holder, digest] = [c.get('holder'), c.req.param('digest')];
    if (holder.kind === 'rig' && !(await leases.needs(holder.name, digest)))
      throw new Refusal('forbidden', 'this file is not of a shard that you have');
    const handle = await files.open(digest);
    const stream = Readable.toWeb(handle.createReadStream());
    return c.body(stream as ReadableStream, 200, { 'Content-Type': 'application/octet-stream' });
  });
  return app;
}

function byteCount(text: string | undefined, name: string): number {
  if (text !== undefined && /^\d{1,15}$/.test(text)) return Number(text);
  throw new Refusal('invalid', `expected a number of bytes in ${name}, found ${text ?? 'none'}`);
}

function submissionsApi({ submissions }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.post('/', async (c) => {
    mustHave(c.get('holder'), 'submit');
    const request = await readBody(c, requestSchema);
    return c.json(await submissions.submit(request, c.get('holder').name));
  });
  app.get('/:id', async (c) => {
    mustHave(c.get('holder'), 'submit', 'sign', 'administer');
    const submission = await submissions.find(c.req.param('id'));
    return c.json({ submission, shards: await submissions.shardsOf(submission.id) });
  });
  app.get('/:id/files/:name', async (c) => {
    mustHave(c.get('holder'), 'submit', 'sign', 'administer');
    const bytes = await submissions.fileOf(c.req.param('id'), c.req.param('name'));
    return c.body(new Uint8Array(bytes), 200, { 'Content-Type': 'application/octet-stream' });
  });
  app.post('/:id/cancel', async (c) => {
    const holder = c.get('holder');
    const { by } = await submissions.find(c.req.param('id'));
    mustHave(
      holder,
      ...(by === holder.name ? (['submit', 'administer'] as const) : (['administer'] as const)),
    );
    await submissions.cancel(c.req.param('id'), holder.name);
    return c.json({});
  });
  return app;
}

function schedulesApi({ schedules }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.get('/', async (c) => {
    mustHave(c.get('holder'), 'submit', 'administer');
    return c.json({ schedules: await schedules.list() });
  });
  app.post('/', async (c) => {
    mustHave(c.get('holder'), 'submit');
    await schedules.keep(await readBody(c, scheduleSchema), c.get('holder').name);
    return c.json({});
  });
  app.post('/:name/remove', async (c) => {
    const holder = c.get('holder');
    mustHave(holder, 'submit', 'administer');
    await schedules.remove(c.req.param('name'), holder.name, holder.roles.includes('administer'));
    return c.json({});
  });
  return app;
}

function rigsApi({ rigs, leases }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.put('/:name', async (c) => {
    const name = rigOf(c, c.req.param('name'));
    const registration = await readBody(c, registrationSchema);
    const digest = createHash('sha256').update(JSON.stringify(registration)).digest('hex');
    await rigs.register(name, registration, digest);
    return c.json({});
  });
  app.get('/:name/file', async (c) => {
    const [holder, name] = [c.get('holder'), c.req.param('name')];
    // It says where instruments are, and maybe how they are entered.
    if (holder.name !== name) mustHave(holder, 'administer');
    return c.text((await rigs.find(name)).text);
  });
  app.post('/:name/take', async (c) => {
    return c.json({ lease: await leases.take(rigOf(c, c.req.param('name'))) });
  });
  return app;
}

function leasesApi({ leases }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.get('/:lease', async (c) =>
    c.json({ state: await leases.state(leaseOf(c.req.param('lease')), rigOf(c)) }),
  );
  app.post('/:lease/alive', async (c) => {
    const { condition } = await readBody(c, aliveSchema);
    await leases.alive(leaseOf(c.req.param('lease')), rigOf(c), condition);
    return c.json({});
  });
  app.post('/:lease/begun', async (c) => {
    await leases.begun(leaseOf(c.req.param('lease')), rigOf(c), await readBody(c, benchSchema));
    return c.json({});
  });
  app.post('/:lease/conditions', async (c) => {
    const condition = await readBody(c, storedConditionSchema);
    await leases.store(leaseOf(c.req.param('lease')), rigOf(c), condition);
    return c.json({});
  });
  app.post('/:lease/end', async (c) => {
    await leases.end(leaseOf(c.req.param('lease')), rigOf(c), await readBody(c, endedSchema));
    return c.json({});
  });
  app.post('/:lease/hand-back', async (c) => {
    const back = await readBody(c, handBackSchema);
    await leases.handBack(leaseOf(c.req.param('lease')), rigOf(c), back);
    return c.json({});
  });
  return app;
}

function leaseOf(text: string): string {
  if (/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(text)) return text;
  throw new Refusal('invalid', 'expected the name of a lease');
}

function holdersApi({ access }: Lab): Hono<Served> {
  const app = new Hono<Served>();
  app.use(async (c, next) => {
    mustHave(c.get('holder'), 'administer');
    await next();
  });
  app.get('/', async (c) => c.json({ holders: await access.list() }));
  app.post('/', async (c) => {
    const holder = await readBody(c, holderSchema);
    const wrong =
      holder.kind === 'rig' ? holder.roles.join() !== 'run' : holder.roles.includes('run');
    if (wrong || holder.roles.length === 0)
      throw new Refusal(
        'invalid',
        'a rig has the role run, a person one or more of submit, sign, administer',
      );
    return c.json({ token: await access.add(holder, c.get('holder').name) });
  });
  app.post('/:name/replace', async (c) =>
    c.json({ token: await access.replace(c.req.param('name')) }),
  );
  app.post('/:name/revoke', async (c) => {
    const name = c.req.param('name');
    if (name === c.get('holder').name)
      throw new Refusal('invalid', 'nobody takes their own token away: another administrator does');
    await access.revoke(name);
    return c.json({});
  });
  return app;
}
