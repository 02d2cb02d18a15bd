import { type ChildProcess, spawn } from 'node:child_process';
import { setTimeout as pause } from 'node:timers/promises';
import { Complaint } from '../complaint.ts';
import { processArguments } from '../entry-point.ts';
import { createPulse, pulseFile, removePulse } from './pulse.ts';

/** Absolute paths: the watchdogs are processes of their own. */
export interface GuardedRig {
  readonly rigFile: string;
  readonly lampFile: string;
  readonly lock: string;
  readonly token: string;
}

/** How long the processes may take to be ready, ms. */
const startTimeout = 60_000;
/** How long a dismissed watchdog may take to end, s: one that is stopped never does. */
const farewell = 5;

/** What goes over the pipes between a run and its watchdogs. */
export const watchWords = { ready: 'ready\n', watch: 'watch\n', dismissed: 'safe\n' } as const;
export const watchRoles = ['first', 'second'] as const;
export type WatchRole = (typeof watchRoles)[number];

/**
 * Two processes that stand by while a rig is in use. Each holds the other end of a pipe to this one, and looks at the pulses
 * of this one and of the other. When a pipe ends before `dismiss`, whatever ended this process, or when a pulse stops, they
 * bring the rig to its safe state and give its locks up: the first at once, the second where the first cannot.
 */
export class RigWatchdogs {
  readonly #children: readonly ChildProcess[];
  readonly #pulses: readonly string[];
  #dismissed = false;

  private constructor(children: readonly ChildProcess[], pulses: readonly string[]) {
    this.#children = children;
    this.#pulses = pulses;
  }

  get pids(): readonly number[] {
    return this.#children.map(({ pid }) => pid ?? 0);
  }

  /** Resolves when both stand by; nothing should be switched on before `watch`. */
  static async start(guarded: GuardedRig): Promise<RigWatchdogs> {
    const pulses = watchRoles.map((role) => pulseFile(guarded.token, role));
    for (const file of pulses) createPulse(file);
    const children = watchRoles.map((role) => startOne(guarded, role));
    try {
      await Promise.all(children.map(standsBy));
    } catch (error) {
      for (const child of children) child.kill('SIGKILL');
      pulses.forEach(removePulse);
      throw error;
    }
    for (const child of children) {
      child.stdout?.destroy();
      child.unref();
      (child.stdin as unknown as { unref?(): void } | null)?.unref?.();
    }
    return new RigWatchdogs(children, pulses);
  }

  /** From now on they watch; `onDeath` hears when one of them ends before it is dismissed. */
  watch(onDeath: (pid: number) => void): void {
    for (const child of this.#children) {
      const died = (): void => {
        if (!this.#dismissed) onDeath(child.pid ?? 0);
      };
      child.once('exit', died);
      if (child.exitCode !== null || child.signalCode !== null) died();
      child.stdin?.write(watchWords.watch);
    }
  }

  /** The rig is safe, or this process has said why not: they end without touching it, and remove the locks. */
  async dismiss(): Promise<void> {
    this.#dismissed = true;
    await Promise.all(this.#children.map(dismissOne));
    this.#pulses.forEach(removePulse);
  }
}

function startOne({ rigFile, lampFile, lock, token }: GuardedRig, role: WatchRole): ChildProcess {
  const program = processArguments('rig/watchdog-process');
  const files = ['--rig', rigFile, '--lamp', lampFile, '--lock', lock];
  // Its own session: a Ctrl-C meant for this process does not reach it.
  const child = spawn(process.execPath, [...program, ...files, '--token', token, '--role', role], {
    detached: true,
    stdio: ['pipe', 'pipe', 'ignore'],
  });
  child.stdin?.on('error', () => {});
  return child;
}

async function dismissOne(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  child.ref();
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  child.stdin?.end(watchWords.dismissed);
  await Promise.race([gone, pause(farewell * 1000, undefined, { ref: false })]);
  if (child.exitCode === null && child.signalCode === null) child.kill('SIGKILL');
  child.unref();
}

function standsBy(child: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    const fail = (why: string): void => {
      clearTimeout(timer);
      reject(
        new Complaint(
          'internal',
          `a watchdog of the rig did not start (${why}); nothing is switched on without it`,
        ),
      );
    };
    const timer = setTimeout(() => fail(`no answer within ${startTimeout / 1000} s`), startTimeout);
    let heard = '';
    child.stdout?.on('data', (bytes: Buffer) => {
      heard += bytes.toString();
      if (!heard.includes(watchWords.ready)) return;
      clearTimeout(timer);
      resolve();
    });
    child.once('error', (error) => fail(error.message));
    child.once('exit', (code) => fail(`it exited with ${code}`));
  });
}
