import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, expect, it } from 'vitest';
import { readBytes, readStream, TooManyBytes } from '../../harness/workflow/inputs/read-bytes.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-bytes-'));
afterAll(() => rmSync(folder, { recursive: true }));
const file = (name: string, text = '') => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};

it('reads a file to its end, whatever its length', () => {
  for (const length of [0, 1, 65_536, 200_000]) {
    const path = file('any', 'x'.repeat(length));
    expect(readBytes(path, 1e6).length).toBe(length);
  }
});

it('refuses more than it was told to take, without reading it', () => {
  const path = file('terabyte');
  truncateSync(path, 1e12);
  expect(() => readBytes(path, 2 ** 20)).toThrow(TooManyBytes);
  expect(() => readBytes(path, 2 ** 20)).toThrow('expected at most 1 MiB, found more');
});

it('takes no more than that of a device that never ends', () => {
  expect(() => readBytes('/dev/zero', 100_000)).toThrow(TooManyBytes);
});

it('does not wait for somebody to write into a pipe', () => {
  const pipe = join(folder, 'pipe');
  execFileSync('mkfifo', [pipe]);
  expect(readBytes(pipe, 100).length).toBe(0);
});

it('reads what a program writes into a pipe bit by bit', async () => {
  const pipe = join(folder, 'slow');
  execFileSync('mkfifo', [pipe]);
  // Both ends, so that the pipe stays open before the first byte; the first line says that it is.
  const script = `exec 3<>${pipe}; echo open; sleep 0.2; printf one >&3; sleep 0.2; printf two >&3`;
  const writer = spawn('sh', ['-c', script], { stdio: ['ignore', 'pipe', 'inherit'] });
  await once(writer.stdout, 'data');
  expect(readBytes(pipe, 100).toString()).toBe('onetwo');
});

it('holds a stream to the same bound', async () => {
  const parts = () => Readable.from([Buffer.alloc(60), Buffer.alloc(60)]);
  expect((await readStream(parts(), 120)).length).toBe(120);
  await expect(readStream(parts(), 119)).rejects.toThrow(TooManyBytes);
});
