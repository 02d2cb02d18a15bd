import { createHmac } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import {
  createServer,
  type IncomingHttpHeaders,
  type RequestListener,
  type Server,
} from 'node:http';
import { type AddressInfo, createServer as createPort } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SMTPServer } from 'smtp-server';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deliver } from '../../../harness/workflow/news/deliver.ts';
import type { News } from '../../../harness/workflow/news/news.ts';
import { sendNews } from '../../../harness/workflow/news/send-news.ts';
import type { Target } from '../../../harness/workflow/news/target.ts';
import { Undelivered } from '../../../harness/workflow/news/undelivered.ts';
import { hostile, news, secret } from './sample-news.ts';

let folder: string;
const closing: (() => Promise<unknown>)[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'evenfall-news-'));
});
afterEach(async () => {
  for (const close of closing.splice(0)) await close();
  rmSync(folder, { recursive: true, force: true });
});

const now = () => '2026-11-30T03:10:05.000Z';
const use = () => ({ folder, env: { BOARD: secret }, now });

/** Why it did not arrive, and whether it may be tried again. */
async function refusal(target: Target, of: News = news): Promise<readonly [string, boolean]> {
  const error: unknown = await deliver(of, target, use()).then(
    () => null,
    (thrown: unknown) => thrown,
  );
  if (!(error instanceof Undelivered)) throw new Error(`expected a refusal, found ${error}`);
  return [error.message, error.mayTryAgain];
}

describe('a program', () => {
  const script = (text: string): Target => {
    writeFileSync(join(folder, 'told.mjs'), text);
    const command = [process.execPath, 'told.mjs', '$(touch x); "a b"'];
    return { target: 'door', on: ['ended'], program: { command, within: 20 } };
  };

  it('gets the news as JSON on stdin, in the folder of the file, with arguments that no shell reads', async () => {
    const target = script(
      `import { readFileSync, writeFileSync } from 'node:fs';
       writeFileSync('told.json', JSON.stringify([process.argv.slice(2), JSON.parse(readFileSync(0, 'utf8'))]));`,
    );
    await deliver(news, target, use());
    const [args, body] = JSON.parse(readFileSync(join(folder, 'told.json'), 'utf8'));
    expect(args).toEqual(['$(touch x); "a b"']);
    expect(body).toEqual({ format: 'evenfall-news', version: 1, ...news });
  });

  it('that fails is told by its exit code and the last line of its stderr', async () => {
    const ends = (code: number) =>
      script(
        `process.stderr.write('first\\nno bulb \\u001b[31min the socket\\n', () => process.exit(${code}));`,
      );
    expect(await refusal(ends(3))).toEqual([
      `${process.execPath} ended with 3: no bulb in the socket`,
      false,
    ]);
    expect((await refusal(ends(75)))[1]).toBe(true);
  });

  it('that takes too long is ended, and may be tried again', async () => {
    const { target, on, program } = script('setInterval(() => {}, 1000);');
    const slow = { target, on, program: { command: program?.command ?? [], within: 0.5 } };
    const [text, again] = await refusal(slow);
    expect(text).toContain('took longer than 0.5 s');
    expect(again).toBe(true);
  });

  it('that leaves another one running is told by its own end', async () => {
    const target = script(
      `import { spawn } from 'node:child_process';
       const lasting = ['-e', 'setTimeout(() => {}, 20000)'];
       spawn(process.execPath, lasting, { stdio: 'inherit', detached: true }).unref();
       process.stderr.write('left one\\n', () => process.exit(4));`,
    );
    expect(await refusal(target)).toEqual([`${process.execPath} ended with 4: left one`, false]);
  });

  it('that is not there says so', async () => {
    const target: Target = {
      target: 'x',
      on: ['ended'],
      program: { command: ['./none'], within: 5 },
    };
    expect(await refusal(target)).toEqual([expect.stringContaining('ENOENT'), false]);
  });
});

async function listening(server: Server | ReturnType<typeof createPort>): Promise<number> {
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  closing.push(
    () =>
      new Promise((done) => {
        if ('closeAllConnections' in server) server.closeAllConnections();
        server.close(done);
      }),
  );
  return (server.address() as AddressInfo).port;
}

describe('a webhook', () => {
  async function board(answer: RequestListener, within = 20): Promise<Target> {
    const port = await listening(createServer(answer));
    const url = `http://127.0.0.1:${port}/secret-path`;
    return { target: 'board', on: ['ended'], webhook: { url, secret: { env: 'BOARD' }, within } };
  }

  it('gets the body with a signature that its secret bears out, and not the secret', async () => {
    const got: { headers: IncomingHttpHeaders; body: string; method: string | undefined }[] = [];
    const target = await board(async (request, response) => {
      const parts: Buffer[] = [];
      for await (const part of request) parts.push(part as Buffer);
      const { headers, method } = request;
      got.push({ headers, body: Buffer.concat(parts).toString('utf8'), method });
      response.writeHead(204).end();
    });
    await deliver(news, target, use());
    const [first] = got;
    if (!first) throw new Error('nothing came');
    const { headers, body, method } = first;
    expect(method).toBe('POST');
    expect(headers['content-type']).toBe('application/json');
    expect(headers['evenfall-sent']).toBe(now());
    const wanted = createHmac('sha256', secret).update(`${now()}\n${body}`).digest('hex');
    expect(headers['evenfall-signature']).toBe(wanted);
    expect(JSON.parse(body)).toEqual({ format: 'evenfall-news', version: 1, ...news });
    expect(body + JSON.stringify(headers)).not.toContain(secret);
  });

  it.each([
    [500, true],
    [503, true],
    [400, false],
    [403, false],
    [404, false],
  ])('that answers %i may be tried again: %s', async (status, again) => {
    const target = await board((_, response) => {
      response.writeHead(status).end('out of\nlamps \u001b[2J');
    });
    const [text, mayTryAgain] = await refusal(target);
    expect(text).toMatch(new RegExp(`^127\\.0\\.0\\.1:\\d+ answered ${status}: out of lamps$`));
    expect(mayTryAgain).toBe(again);
  });

  it('is not followed where it leads elsewhere', async () => {
    let calls = 0;
    const target = await board((_, response) => {
      calls++;
      response.writeHead(307, { location: '/other' }).end();
    });
    expect(await refusal(target)).toEqual([
      expect.stringContaining('answered 307, a redirect, which is not followed: /other'),
      false,
    ]);
    expect(calls).toBe(1);
  });

  it('that never answers, or never ends its answer, or is not there may be tried again', async () => {
    const silent = await board(() => {}, 0.3);
    expect(await refusal(silent)).toEqual([expect.stringContaining('within 0.3 s'), true]);
    const dripping = await board((_, response) => void response.writeHead(200).write('x'), 0.3);
    expect((await refusal(dripping))[1]).toBe(true);
    const gone = await board(() => {});
    for (const close of closing.splice(0)) await close();
    expect(await refusal(gone)).toEqual([expect.stringContaining('(ECONNREFUSED)'), true]);
  });
});

interface Taken {
  readonly from: string;
  readonly to: readonly string[];
  readonly text: string;
}

describe('a mail', () => {
  /** A relay that keeps what it takes, or refuses it with a reply. */
  async function relay(taken: Taken[], refuses: number | null = null): Promise<Target> {
    const server = new SMTPServer({
      authOptional: true,
      disabledCommands: ['STARTTLS'],
      onData(stream, session, done) {
        const parts: Buffer[] = [];
        stream.on('data', (part: Buffer) => parts.push(part));
        stream.on('end', () => {
          const { mailFrom, rcptTo } = session.envelope;
          const from = mailFrom === false ? '' : mailFrom.address;
          const to = rcptTo.map(({ address }) => address);
          taken.push({ from, to, text: Buffer.concat(parts).toString('utf8') });
          const error = Object.assign(new Error('mailbox is full'), { responseCode: refuses });
          done(refuses === null ? null : error);
        });
      },
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    closing.push(() => new Promise<void>((done) => server.close(done)));
    const { port } = server.server.address() as AddressInfo;
    const to = ['team@example.com', 'qa@example.com'];
    const mail = { from: 'bench@example.com', to, host: '127.0.0.1', port, within: 20 };
    return { target: 'team', on: ['ended'], mail };
  }

  it('is plain text, with the verdict in its subject', async () => {
    const taken: Taken[] = [];
    await deliver(news, await relay(taken), use());
    const [{ from, to, text } = { from: '', to: [], text: '' }] = taken;
    expect(from).toBe('bench@example.com');
    expect(to).toEqual(['team@example.com', 'qa@example.com']);
    expect(text).toContain('Subject: fail: alcove-6, build 1.8.0: 2 of 26 claims do not pass');
    expect(text).toMatch(/Content-Type: text\/plain/);
    expect(text).toContain('Auto-Submitted: auto-generated');
    expect(text).toContain('fail  fades-on-time: Fade duration is 2.31 s');
    expect(text).not.toMatch(/multipart|text\/html/);
  });

  it('stays one mail with one head, whatever lamps and claims are called', async () => {
    const taken: Taken[] = [];
    await deliver(hostile, await relay(taken), use());
    expect(taken).toHaveLength(1);
    const [{ to, text } = { to: [], text: '' }] = taken;
    expect(to).toEqual(['team@example.com', 'qa@example.com']);
    const end = text.indexOf('\r\n\r\n');
    const [head, body] = [text.slice(0, end), text.slice(end)];
    expect(head).not.toMatch(/^bcc:/im);
    expect(head).toContain('Subject: fail: alcove Bcc: all@example.com');
    expect(body).toContain('fail  x . QUIT: a . RSET');
    expect(text).not.toMatch(/[\u001b\u202e\u0000\u2028]/u);
  });

  it('that is refused for now may be tried again, and one that is refused may not', async () => {
    expect(await refusal(await relay([], 452))).toEqual([
      expect.stringMatching(/^the relay 127\.0\.0\.1:\d+ answered 452: .*mailbox is full$/),
      true,
    ]);
    expect((await refusal(await relay([], 554)))[1]).toBe(false);
  });

  it('may be tried again where no relay answers', async () => {
    const port = await listening(createPort(() => {}));
    const mail = { from: 'a@example.com', to: ['b@example.com'], host: '127.0.0.1' };
    const at = (place: number, within: number): Target => ({
      ...{ target: 'team', on: ['ended'] },
      mail: { ...mail, port: place, within },
    });
    expect((await refusal(at(1, 5)))[1]).toBe(true);
    expect(await refusal(at(port, 0.3))).toEqual([expect.stringContaining('no answer'), true]);
  });
});

describe('news for several targets', () => {
  it('are tried three times more where that may help, with growing pauses, and never throw', async () => {
    const calls: string[] = [];
    const answers = [503, 500, 200];
    const port = await listening(
      createServer((request, response) => {
        calls.push(request.url ?? '');
        const status = request.url === '/flaky' ? (answers.shift() ?? 200) : 503;
        response.writeHead(request.url === '/gone' ? 410 : status).end();
      }),
    );
    const target = (name: string): Target => ({
      ...{ target: name, on: ['ended'] },
      webhook: { url: `http://127.0.0.1:${port}/${name}`, secret: { env: 'BOARD' }, within: 20 },
    });
    const paused: number[] = [];
    const pause = async (seconds: number) => void paused.push(seconds);
    const not = { ...target('unwanted'), on: ['pass' as const] };
    const targets = [target('flaky'), target('down'), target('gone'), not];
    const failed = await sendNews(news, targets, { ...use(), pause });
    expect(calls.filter((url) => url === '/flaky')).toHaveLength(3);
    expect(calls.filter((url) => url === '/down')).toHaveLength(4);
    expect(calls.filter((url) => url === '/gone')).toHaveLength(1);
    expect(calls).not.toContain('/unwanted');
    expect(paused.sort((a, b) => a - b)).toEqual([1, 1, 4, 4, 16]);
    expect(failed).toEqual([
      `news for down was not delivered (4 tries): 127.0.0.1:${port} answered 503`,
      `news for gone was not delivered: 127.0.0.1:${port} answered 410`,
    ]);
  });
});
