import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type LockHolder, lockFile, readLock } from '../../harness/workflow/rig/lock-file.ts';
import { RigLock } from '../../harness/workflow/rig/rig-lock.ts';

let folder: string;
const children: ChildProcess[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'evenfall-locks-'));
});
afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

/** A process that does nothing until it is killed. */
function idle(): ChildProcess {
  const child = spawn(process.execPath, ['-e', 'setInterval(() => {}, 1000)'], { stdio: 'ignore' });
  children.push(child);
  return child;
}

async function killed(): Promise<number> {
  const child = idle();
  child.kill('SIGKILL');
  await once(child, 'exit');
  return child.pid ?? 0;
}

/** This process holds the lock; the holder of its file is then changed. */
async function heldBy(change: Partial<LockHolder>): Promise<string> {
  await RigLock.acquire('bench', folder, () => {});
  const file = lockFile('bench', folder);
  writeFileSync(file, JSON.stringify({ ...(await readLock(file)), ...change }));
  return file;
}

/** Takes the lock; whose it was before. */
async function takenOverFrom(): Promise<readonly number[]> {
  const from: number[] = [];
  const lock = await RigLock.acquire('bench', folder, ({ pid }) => from.push(pid));
  await lock.release();
  return from;
}

it('is free again after its release, and names its holder until then', async () => {
  const lock = await RigLock.acquire('bench', folder, () => {});
  await expect(takenOverFrom()).rejects.toMatchObject({
    kind: 'locked',
    message: expect.stringContaining(`process ${process.pid}`),
  });
  await lock.release();
  expect(existsSync(lock.file)).toBe(false);
  expect(await takenOverFrom()).toEqual([]);
});

it('stays with a holder that lives, however long nothing has touched it', async () => {
  const file = await heldBy({});
  utimesSync(file, 0, 0);
  await expect(takenOverFrom()).rejects.toMatchObject({ kind: 'locked' });
});

it('is taken over at once from a process that was killed', async () => {
  const pid = await killed();
  await heldBy({ pid });
  expect(await takenOverFrom()).toEqual([pid]);
});

it('is taken over from a dead process whose number another process has by now', async () => {
  const { pid = 0 } = idle();
  await heldBy({ pid, born: '1' });
  expect(await takenOverFrom()).toEqual([pid]);
});

it('stays with another machine, of whose processes nothing is known', async () => {
  await heldBy({ pid: await killed(), host: `not-${hostname()}` });
  await expect(takenOverFrom()).rejects.toMatchObject({
    message: expect.stringContaining('if that machine is gone, delete'),
  });
});

it('waits until the watchdog of a dead holder has made the rig safe', async () => {
  const watchdog = idle();
  const file = await heldBy({ pid: await killed(), watchdog: watchdog.pid ?? 0 });
  const next = RigLock.acquire('bench', folder, () => {});
  const early = await Promise.race([
    next,
    new Promise((done) => setTimeout(() => done('waits'), 300)),
  ]);
  expect(early).toBe('waits');
  rmSync(file);
  await expect(next).resolves.toMatchObject({ file });
});

it('goes to exactly one of several that find the same stale lock', async () => {
  await heldBy({ pid: await killed() });
  const attempts = await Promise.allSettled(
    Array.from({ length: 4 }, () => RigLock.acquire('bench', folder, () => {})),
  );
  expect(attempts.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
});
