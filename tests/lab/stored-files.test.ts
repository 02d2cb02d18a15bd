import { randomBytes } from 'node:crypto';
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { link, rename } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { FileStore } from '../../harness/lab/files/file-store.ts';
import { digestOf } from './lab-files.ts';

let folder = '';
let store: FileStore;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'evenfall-store-'));
  store = new FileStore(folder);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const old = new Date('2026-01-01T00:00:00Z');
const before = Date.parse('2026-02-01T00:00:00Z');

/** A file that nobody has asked for since January. */
async function kept(): Promise<string> {
  const bytes = randomBytes(100);
  const digest = digestOf(bytes);
  const pieces = (async function* () {
    yield bytes;
  })();
  await store.add({ digest, sender: 'dora', from: 0, of: 100, bytes: pieces });
  utimesSync(store.stored.path(digest), old, old);
  return digest;
}

/** As a clearing that was killed leaves it: moved aside, and not removed. */
async function movedAside(digest: string): Promise<string> {
  mkdirSync(join(folder, 'leaving'), { recursive: true });
  const away = join(folder, 'leaving', `${digest}-${Math.random()}`);
  await rename(store.stored.path(digest), away);
  return away;
}

it('takes away what was not asked for since, and says its bytes', async () => {
  const digest = await kept();
  expect(await store.stored.remove(digest, before)).toBe(100);
  expect(await store.missing([digest])).toEqual([digest]);
  expect(await store.stored.remove(digest, before)).toBeNull();
});

it.each([
  ['missing', (digest: string) => store.missing([digest])],
  ['received', (digest: string) => store.received(digest, 'emil')],
  [
    'add',
    (digest: string) =>
      store.add({ digest, sender: 'emil', from: 0, of: 100, bytes: (async function* () {})() }),
  ],
])('lets a file stay from when %s was told that it is here', async (_what, ask) => {
  const digest = await kept();
  await ask(digest);
  expect(await store.stored.remove(digest, before)).toBeNull();
  expect(await store.missing([digest])).toEqual([]);
  expect(readdirSync(join(folder, 'leaving'))).toEqual([]);
});

it('keeps a file that was whole when its service was killed, and counts it as fresh from then', async () => {
  const bytes = randomBytes(10);
  const digest = digestOf(bytes);
  const send = (from: number, part: Uint8Array) =>
    store.add({
      ...{ digest, sender: 'dora', from, of: 10 },
      bytes: (async function* () {
        yield part;
      })(),
    });
  await send(0, bytes.subarray(0, 5));
  const [partial = ''] = readdirSync(join(folder, 'partial'));
  appendFileSync(join(folder, 'partial', partial), bytes.subarray(5));
  utimesSync(join(folder, 'partial', partial), old, old);
  expect(await store.received(digest, 'dora')).toBe(10);
  await send(10, Buffer.alloc(0));
  const found = [];
  for await (const one of store.stored.all()) found.push(one);
  expect(found.map((one) => one.digest)).toEqual([digest]);
  expect(Date.now() - (found[0]?.freshAt ?? 0)).toBeLessThan(60_000);
});

it.each([
  ['read', async (digest: string) => digestOf(await store.read(digest))],
  ['told', async (digest: string) => ((await store.missing([digest])).length === 0 ? digest : '')],
  [
    'laid out',
    async (digest: string) => {
      await store.place(digest, join(folder, 'laid/out'));
      return existsSync(join(folder, 'laid/out')) ? digest : '';
    },
  ],
])('still is %s where a clearing was killed that had moved it aside', async (_how, use) => {
  const digest = await kept();
  await movedAside(digest);
  expect(await use(digest)).toBe(digest);
});

it('stays where it was asked for between the two steps of a clearing', async () => {
  const digest = await kept();
  const away = await movedAside(digest);
  expect(await store.missing([digest])).toEqual([]);
  // The second step of whoever moved it.
  rmSync(away);
  expect(await store.missing([digest])).toEqual([]);
});

it('is put back by the next clearing, and its second name is gone', async () => {
  const digest = await kept();
  await movedAside(digest);
  await store.stored.tidy(before);
  expect(existsSync(store.stored.path(digest))).toBe(true);
  expect(readdirSync(join(folder, 'leaving'))).toEqual([]);
});

it('is not made old again by one that was put back', async () => {
  const digest = await kept();
  await movedAside(digest);
  // It has come anew meanwhile.
  const path = store.stored.path(digest);
  const other = join(folder, 'other');
  writeFileSync(other, 'anew');
  await link(other, path);
  await store.stored.tidy(before);
  for await (const one of store.stored.all()) expect(one.freshAt).toBeGreaterThan(before);
});

it('loses pieces that nobody goes on with, and no others', async () => {
  const [left, going] = [digestOf('left'), digestOf('going')];
  for (const digest of [left, going])
    await store.add({
      digest,
      sender: 'dora',
      from: 0,
      of: 9,
      bytes: (async function* () {
        yield Buffer.from('x');
      })(),
    });
  const [path = ''] = readdirSync(join(folder, 'partial')).filter((name) => name.startsWith(left));
  utimesSync(join(folder, 'partial', path), old, old);
  await store.stored.tidy(before);
  expect([await store.received(left, 'dora'), await store.received(going, 'dora')]).toEqual([0, 1]);
});
