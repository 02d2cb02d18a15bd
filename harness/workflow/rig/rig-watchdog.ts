import { type ChildProcess, spawn } from 'node:child_process';
import { rm } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { RigToOpen } from '../../../drivers/open-rig.ts';
import { findDriver } from '../../../drivers/registry.ts';
import { Complaint } from '../complaint.ts';
import { entryPoint, fromSources } from '../entry-point.ts';
import { readLock } from './rig-lock.ts';
import { makeRigSafe, writeSafeNote } from './rig-safe.ts';

/** Absolute paths: the watchdog is a process of its own. */
export interface GuardedRig {
  readonly rigFile: string;
  readonly lampFile: string;
  readonly lock: string;
}

/** How long the second process may take to be ready, ms. */
const startTimeout = 60_000;
const ready = 'ready\n';
const dismissed = 'safe\n';

/**
 * A second process that stands by while a rig is in use. It holds the other end of a pipe to this one: when the pipe ends
 * before `dismiss`, whatever ended this process, it brings the rig to its safe state and gives the lock up.
 */
export class RigWatchdog {
  readonly #child: ChildProcess;

  private constructor(child: ChildProcess) {
    this.#child = child;
  }

  get pid(): number {
    return this.#child.pid ?? 0;
  }

  /** Resolves when it stands by; nothing should be switched on before. */
  static async start({ rigFile, lampFile, lock }: GuardedRig): Promise<RigWatchdog> {
    const loader = fromSources ? ['--import', import.meta.resolve('tsx')] : [];
    const program = fileURLToPath(entryPoint('rig/watchdog-process'));
    const files = ['--rig', rigFile, '--lamp', lampFile, '--lock', lock];
    // Its own session: a Ctrl-C meant for this process does not reach it.
    const child = spawn(process.execPath, [...loader, program, ...files], {
      detached: true,
      stdio: ['pipe', 'pipe', 'ignore'],
    });
    child.stdin?.on('error', () => {});
    await standsBy(child);
    child.stdout?.destroy();
    child.unref();
    (child.stdin as unknown as { unref?(): void } | null)?.unref?.();
    return new RigWatchdog(child);
  }

  /** The rig is safe, or this process has said why not: the watchdog ends without touching it, and removes the lock. */
  dismiss(): Promise<void> {
    const { stdin, exitCode } = this.#child;
    if (!stdin || exitCode !== null) return Promise.resolve();
    return new Promise((resolve) => {
      this.#child.once('exit', () => resolve());
      this.#child.ref();
      stdin.end(dismissed);
    });
  }
}

/** The watchdog's side: waits for the end of stdin. Resolves with false where the safe state was needed and not confirmed. */
export async function standGuard(to: RigToOpen, lock: string): Promise<boolean> {
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => {});
  // Loaded now: when the time comes there may be no disk, and there is no time.
  await Promise.allSettled(
    to.rig.instruments.map(({ name, driver }) => findDriver(name, driver, to.folder)),
  );
  const holder = await readLock(lock);
  let text = '';
  const ended = new Promise<void>((resolve) => {
    process.stdin.on('data', (bytes: Buffer) => (text += bytes));
    for (const event of ['end', 'close', 'error'] as const) process.stdin.on(event, resolve);
  });
  process.stdout.on('error', () => {});
  process.stdout.write(ready);
  await ended;
  const outcome = text === dismissed ? null : await makeRigSafe(to);
  if (outcome) await writeSafeNote(lock, outcome);
  // Also after a dismissal: the other process may be killed before it comes to it.
  const now = await readLock(lock);
  if (now && now.since === holder?.since && now.pid === holder.pid) await rm(lock, { force: true });
  return outcome === null || outcome.confirmed;
}

function standsBy(child: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    const fail = (why: string): void => {
      clearTimeout(timer);
      child.kill('SIGKILL');
      reject(
        new Complaint(
          'internal',
          `the watchdog of the rig did not start (${why}); nothing is switched on without it`,
        ),
      );
    };
    const timer = setTimeout(() => fail(`no answer within ${startTimeout / 1000} s`), startTimeout);
    let heard = '';
    child.stdout?.on('data', (bytes: Buffer) => {
      heard += bytes.toString();
      if (!heard.includes(ready)) return;
      clearTimeout(timer);
      resolve();
    });
    child.once('error', (error) => fail(error.message));
    child.once('exit', (code) => fail(`it exited with ${code}`));
  });
}
