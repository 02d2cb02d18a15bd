import { mkdirSync, renameSync, symlinkSync, unlinkSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { ProgressFeed, ProgressFeeds } from '../../harness/cli/view/progress-feed.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { sealedRun } from '../archive/signed-run.ts';
import { headerOf, sampleCondition, sampleRecord } from '../record/sample-record.ts';
import { form, keyFiles, openDesk } from './view-desk.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
const sockets: Socket[] = [];
afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.destroy();
  for (const server of open.splice(0)) await server.close();
});

async function signingDesk() {
  const root = scratch();
  const keys = await keyFiles(root, 'Mira');
  const folder = await sealedRun(join(root, 'reports'), {});
  const desk = await openDesk(join(root, 'reports'), { keyFile: keys.file });
  open.push(desk.server);
  return { ...desk, folder, path: `/runs/${basename(folder)}` };
}

describe('a form', () => {
  it.each([
    ['without its boundary', 'multipart/form-data', 'name=Mira'],
    ['that ends in the middle of a part', 'multipart/form-data; boundary=x', '--x\r\nContent-Dis'],
  ])('%s is refused as one that cannot be read', async (_, type, body) => {
    const { ask, address, path, said } = await signingDesk();
    const headers = { 'content-type': type, origin: address.origin };
    const { status, text } = await ask(`${path}/sign`, { method: 'POST', headers, body });
    expect({ status, said: said.join('') }).toEqual({ status: 400, said: '' });
    expect(text).toContain('The form cannot be read');
  });

  it('with one wrong passphrase after the other is shut, for the right one too', async () => {
    const { ask, address, path, said } = await signingDesk();
    const sign = (passphrase: string) =>
      ask(
        `${path}/sign`,
        form(address, [
          ...Object.entries({ seen: '0', name: 'Mira', meaning: 'approval', decision: 'release' }),
          ['passphrase', passphrase],
        ]),
      );
    // Together, as a program would: they are answered one at a time all the same.
    const answers = await Promise.all(
      Array.from({ length: 12 }, (_, k) => sign(`a wrong passphrase ${k}`)),
    );
    const opened = answers.filter(({ text }) => text.includes('does not open the key'));
    expect(opened).toHaveLength(5);
    expect(answers.at(-1)?.text).toContain('5 wrong passphrases in a row');
    expect((await sign('correct horse battery staple')).text).toContain('no more are taken here');
    expect(said.join('')).toContain('signing here is locked for now');
  });
});

describe('a connection', () => {
  it('that sends its headers bit by bit without end is closed', async () => {
    const { address } = await signingDesk();
    const socket = connect(Number(address.port), address.hostname);
    sockets.push(socket);
    socket.write('GET / HTTP/1.1\r\n');
    const drip = setInterval(() => socket.write('X-Slow: 1\r\n'), 500);
    const closed = await new Promise<string>((done) => {
      let text = '';
      socket.on('data', (part) => (text += part));
      socket.on('close', () => done(text));
      socket.on('error', () => {});
    });
    clearInterval(drip);
    expect(closed).toContain('408');
  });

  it('with more headers than any browser sends is refused', async () => {
    const { raw } = await signingDesk();
    const { status } = await raw('/', { headers: { 'x-long': 'x'.repeat(20_000) } });
    expect(status).toBe(431);
  });
});

describe('a file of a run', () => {
  it('that is a link, or lies behind one, is not handed out', async () => {
    const { ask, folder, path } = await signingDesk();
    const sheet = await ask(`${path}/files/junit.xml`);
    expect(sheet.status).toBe(200);
    renameSync(join(folder, 'junit.xml'), join(folder, '..', 'elsewhere.xml'));
    symlinkSync('../elsewhere.xml', join(folder, 'junit.xml'));
    expect((await ask(`${path}/files/junit.xml`)).status).toBe(404);
    unlinkSync(join(folder, 'junit.xml'));
    mkdirSync(join(folder, 'junit.xml'));
    expect((await ask(`${path}/files/junit.xml`)).status).toBe(404);
  });
});

describe('pages that follow one run', () => {
  it('are all told of it, and are let go with their sockets', async () => {
    const leave = vi.spyOn(ProgressFeed.prototype, 'leave');
    const root = scratch();
    const folder = await createRunFolder(root, { ...headerOf(sampleRecord()), planned: 3 });
    const { server, address, cookie } = await openDesk(root);
    open.push(server);
    const heard = Array.from({ length: 300 }, () => follow(address, cookie, basename(folder.path)));
    await Promise.all(heard.map(({ first }) => first));
    await folder.saveCondition('fade-on-time', sampleCondition({ key: 'a', captures: [] }));
    const second = await Promise.all(heard.map(({ next }) => next()));
    expect(second.every((text) => text.includes('"done":1'))).toBe(true);
    expect(leave).not.toHaveBeenCalled();
    for (const socket of sockets.splice(0)) socket.destroy();
    await vi.waitFor(() => expect(leave).toHaveBeenCalledTimes(300), { timeout: 10_000 });
    leave.mockRestore();
    await folder.close();
  });

  it('share one look at its journal, for as long as there is one of them', async () => {
    const folder = await createRunFolder(scratch(), headerOf(sampleRecord()));
    const feeds = new ProgressFeeds();
    const feed = feeds.of(folder.path);
    feed.join();
    feed.join();
    expect(feeds.of(folder.path)).toBe(feed);
    expect(await feed.after(0)).toMatchObject({ turn: 1, last: false });
    const waits = feed.after(1);
    feed.leave();
    expect(feeds.of(folder.path)).toBe(feed);
    feed.leave();
    // Whoever waited is let go, and the next page begins anew.
    expect(await waits).toBeNull();
    expect(feeds.of(folder.path)).not.toBe(feed);
    await folder.close();
  });
});

/** One event stream over a socket of its own. */
function follow(address: URL, cookie: string, run: string) {
  const socket = connect(Number(address.port), address.hostname);
  sockets.push(socket);
  let text = '';
  let waiting: () => void = () => {};
  socket.on('data', (part) => {
    text += part;
    waiting();
  });
  socket.on('error', () => {});
  const until = async (count: number) => {
    while (text.split('event: progress').length - 1 < count)
      await new Promise<void>((go) => (waiting = go));
    return text;
  };
  socket.write(
    `GET /runs/${run}/progress HTTP/1.1\r\nHost: ${address.host}\r\nCookie: ${cookie}\r\n\r\n`,
  );
  return { first: until(1), next: () => until(2) };
}
