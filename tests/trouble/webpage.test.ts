import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { BenchError, LampFailure } from '../../harness/bench/errors.ts';
import type { LampLink } from '../../harness/bench/ports.ts';
import { openPageLink } from '../drivers/webpage/open-page-link.ts';

/** How the lamp's own page behaves at the moment. */
type Mood =
  | 'well'
  | 'cut off'
  | 'silent page'
  | 'silent lamp'
  | 'refuses'
  | 'another page'
  | 'error page';

const page = `<!doctype html><title>lamp</title><h1>A, B, C, D</h1>
<input id="level"><button id="apply">Apply</button><button id="off">Off</button><output id="status"></output>
<script>
const post = async () => {
  document.getElementById('status').textContent = '…';
  const answer = fetch('/light', { method: 'POST' }).then((response) => response.text());
  document.getElementById('status').textContent = await answer.catch(() => 'failed');
};
document.getElementById('apply').onclick = post;
document.getElementById('off').onclick = post;
</script>`;

const ends: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

/** A page on a real server whose mood can be changed. */
async function serve(port = 0) {
  let mood: Mood = 'well';
  const server: Server = createServer((request, response) => {
    if (request.method === 'POST') {
      if (mood === 'silent lamp') return;
      if (mood === 'cut off') return void request.socket.destroy();
      response.end(mood === 'refuses' ? 'no' : 'ok');
    } else {
      if (mood === 'silent page') return;
      response.setHeader('content-type', 'text/html');
      if (mood === 'error page') response.statusCode = 500;
      response.end(mood === 'another page' || mood === 'error page' ? '<h1>Router</h1>' : page);
    }
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const close = (): Promise<void> => {
    server.closeAllConnections();
    return new Promise((resolve) => server.close(() => resolve()));
  };
  ends.push(close);
  const change = (next: Mood): void => {
    mood = next;
  };
  return { port: (server.address() as AddressInfo).port, change, close };
}

async function open(port: number): Promise<LampLink> {
  const confirmed = { wait: '#status', text: 'ok' };
  const link = await openPageLink({
    url: `http://127.0.0.1:${port}/`,
    'identity-element': 'h1',
    set: [{ fill: '#level', with: '{level}' }, { click: '#apply' }, confirmed],
    off: [{ click: '#off' }, confirmed],
  });
  ends.push(() => link.close());
  return link;
}

const target = { level: 0.5, intensities: {} };
const call = (deadline: number) => ({ signal: new AbortController().signal, deadline });
const patient = call(60);
/** s */
const deadline = 1.5;
const grace = 1;

async function inTime(under: Promise<unknown>): Promise<BenchError> {
  const started = performance.now();
  const error = await under.then(
    () => null,
    (reason: unknown) => reason,
  );
  expect((performance.now() - started) / 1000).toBeLessThan(deadline + grace);
  expect(error).toBeInstanceOf(BenchError);
  return error as BenchError;
}

describe('the web page of a lamp in trouble', () => {
  it('refuses: fails by its own words, twice, and the next call works', async () => {
    const { port, change } = await serve();
    const link = await open(port);
    await link.set(target, patient);
    change('refuses');
    const error = await link.set(target, call(12)).catch((reason: unknown) => reason);
    expect(error).toBeInstanceOf(LampFailure);
    expect((error as LampFailure).message).toMatch(/said "no" to steps .* "no" when/);
    change('well');
    await link.set(target, patient);
  });

  it('is cut off from its lamp: what the page says of it are not the lamp’s words', async () => {
    const { port, change } = await serve();
    const link = await open(port);
    await link.set(target, patient);
    change('cut off');
    expect((await inTime(link.set(target, call(deadline)))).kind).toBe('timeout');
  });

  it.each(['silent lamp'] as const)(
    '%s: neither set nor switched off is taken for done, and the next call works',
    async (mood) => {
      const { port, change } = await serve();
      const link = await open(port);
      await link.set(target, patient);
      change(mood);
      expect((await inTime(link.set(target, call(deadline)))).kind).toBe('timeout');
      change('well');
      await link.identify(patient);
      change(mood);
      expect((await inTime(link.safe(call(deadline)))).kind).toBe('timeout');
      change('well');
      expect(await link.safe(patient)).toEqual({ confirmed: true });
    },
  );

  it.each(['silent page', 'another page', 'error page'] as const)(
    '%s: the call ends with its deadline, and the next one works',
    async (mood) => {
      const { port, change } = await serve();
      const link = await open(port);
      change(mood);
      const error = await inTime(link.set(target, call(deadline)));
      expect(error.instrument).toBe('page');
      expect(['timeout', 'closed', 'garbled']).toContain(error.kind);
      change('well');
      await link.set(target, patient);
    },
  );

  it('answers with an error: said in a sentence', async () => {
    const { port, change } = await serve();
    change('error page');
    const error = await (await open(port)).set(target, patient).catch((reason: unknown) => reason);
    expect(error).toMatchObject({
      kind: 'garbled',
      message: expect.stringMatching(/answered 500/),
    });
  });

  it('is not reachable: said in a sentence, and used again when it is', async () => {
    const first = await serve();
    const link = await open(first.port);
    await first.close();
    const error = await link.set(target, patient).catch((reason: unknown) => reason);
    expect(error).toBeInstanceOf(BenchError);
    expect((error as BenchError).kind).toBe('closed');
    expect((error as BenchError).message).toMatch(/ERR_CONNECTION_REFUSED.*check/s);
    await serve(first.port);
    await link.set(target, patient);
  });
});
