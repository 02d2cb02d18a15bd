import { createHmac } from 'node:crypto';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, expect, it } from 'vitest';
import { rigAt, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

interface Told {
  readonly body: string;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
}

let lab: OpenLab;
let server: Server | undefined;
afterEach(async () => {
  await lab.close();
  server?.close();
});

/** A web server that answers with these statuses, and with 200 from then on. */
async function board(statuses: number[]): Promise<{ told: Told[]; url: string }> {
  const told: Told[] = [];
  const opened = createServer((request, response) => {
    let body = '';
    request.on('data', (piece) => (body += piece));
    request.on('end', () => {
      told.push({ body, headers: request.headers });
      response.writeHead(statuses.shift() ?? 200).end();
    });
  });
  server = opened;
  await new Promise<void>((done) => opened.listen(0, '127.0.0.1', done));
  return { told, url: `http://127.0.0.1:${(opened.address() as AddressInfo).port}/` };
}

/** A submission that fails: its rig hands it back until nobody is to try again. */
async function failing(): Promise<string> {
  const dora = await lab.token('dora', 'submit');
  const left = await rigAt(lab, 'left');
  const id = await submitted(lab, dora);
  for (let attempt = 1; attempt <= 3; attempt++) {
    const { said } = await lab.ask(left, 'POST', '/api/rigs/left/take', {});
    const { lease } = said['lease'] as { lease: string };
    const back = { why: 'no light', pause: 0 };
    await lab.ask(left, 'POST', `/api/leases/${lease}/hand-back`, back);
  }
  return id;
}

function fileOf(url: string, on: 'error' | 'pass') {
  const webhook = { url, secret: { env: 'SECRET' }, within: 5 };
  return { targets: [{ target: 'board', on: [on], webhook }], folder: '.' };
}

it('of a submission that failed is signed, and tried again by the queue until it is taken', async () => {
  const { told, url } = await board([503]);
  lab = await OpenLab.open(30, fileOf(url, 'error'));
  const id = await failing();
  await expect.poll(() => told.length, { timeout: 30_000 }).toBe(2);
  const [first, second] = told;
  expect(second?.body).toBe(first?.body);
  const news = JSON.parse(second?.body ?? '');
  expect(news).toMatchObject({ of: 'submission', id, verdict: 'error', build: '1.0' });
  expect(news.ended).toContain('left: no light');
  const mac = createHmac('sha256', 'a secret that is long enough');
  mac.update(`${second?.headers['evenfall-sent']}\n${second?.body}`);
  expect(second?.headers['evenfall-signature']).toBe(mac.digest('hex'));
});

it('goes to nobody who asked for something else', async () => {
  const { told, url } = await board([]);
  lab = await OpenLab.open(30, fileOf(url, 'pass'));
  await failing();
  const waiting = await lab.lab.database.query(`select id from lab_queue.job where name = 'news'`);
  expect(waiting).toEqual([]);
  expect(told).toEqual([]);
});
