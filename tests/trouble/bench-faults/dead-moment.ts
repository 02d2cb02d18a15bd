import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { outputIsOn } from '../../cli/emulated-rig.ts';
import { Running } from '../../cli/program.ts';
import {
  benchDesk,
  conditionsOf,
  darkAfter,
  isLit,
  locksIn,
  newestRecord,
  pause,
  watchdogsIn,
} from './emulated-runs.ts';

/** What happens to the run and its watchdogs. */
export const deadKinds = [
  'runner killed',
  'runner frozen',
  'watchdog killed, then the runner',
  'runner and watchdog killed at once',
  'watchdog killed',
  'watchdog frozen',
  'runner frozen, watchdog killed',
] as const;
export type DeadKind = (typeof deadKinds)[number];

/** s, as README promises; what the instruments and a busy machine need besides is a second. */
export function limitOf(kind: DeadKind): number {
  return kind.includes('frozen') || kind === 'watchdog killed' ? 10 : 3;
}

/** Longer than the watchdogs wait for a sign of life, ms. */
const frozenFor = 7000;

export interface DeadMoment {
  /** s */
  readonly darkAfter: number;
  /** The lamp was lit after it had been dark. */
  readonly litAgain: boolean;
  readonly verdicts: readonly string[];
  readonly locks: readonly string[];
}

/** One run that something happens to at the `moment`-th moment, spread over its time by the golden ratio. */
export async function deadMoment(
  emulation: Emulation,
  kind: DeadKind,
  moment: number,
): Promise<DeadMoment> {
  const { cwd, env, args } = benchDesk(emulation, {
    levels: ['90 %', '60 %', '40 %', '30 %', '20 %', '10 %'],
    hold: '250 ms',
  });
  const running = new Running(args, { cwd, env });
  await running.until(isLit);
  await pause(((moment * 0.618 + 0.3) % 1) * 3000);
  const alive = running.child.exitCode === null;
  const pids = alive ? watchdogsOf(env.EVENFALL_LOCKS) : null;
  if (pids) await happen(kind, running.child.pid ?? 0, pids[moment % 2] ?? 0);
  const happened = performance.now();
  const dark = await darkAfter(emulation, 15);
  const wakes = kind.includes('frozen');
  // A shorter pause, as between two conditions without power, changes nothing and need not be noticed.
  if (wakes) await pause(Math.max(300, frozenFor - (performance.now() - happened)));
  if (wakes) for (const pid of [running.child.pid ?? 0, ...(pids ?? [])]) signal(pid, 'SIGCONT');
  const litAgain = await isLitIn(emulation, wakes ? 1500 : 300);
  await running.ended;
  for (let tries = 0; tries < 400 && locksIn(env.EVENFALL_LOCKS).length > 0; tries++)
    await pause(50);
  return {
    darkAfter: dark,
    litAgain,
    verdicts: verdictsIn(cwd),
    locks: locksIn(env.EVENFALL_LOCKS),
  };
}

function watchdogsOf(folder: string): readonly [number, number] | null {
  try {
    return watchdogsIn(folder);
  } catch {
    // It has just ended.
    return null;
  }
}

async function happen(kind: DeadKind, runner: number, watchdog: number): Promise<void> {
  switch (kind) {
    case 'runner killed':
      return signal(runner, 'SIGKILL');
    case 'runner frozen':
      return signal(runner, 'SIGSTOP');
    case 'watchdog killed, then the runner':
      signal(watchdog, 'SIGKILL');
      await pause(50);
      return signal(runner, 'SIGKILL');
    case 'runner and watchdog killed at once':
      signal(runner, 'SIGKILL');
      return signal(watchdog, 'SIGKILL');
    case 'watchdog killed':
      return signal(watchdog, 'SIGKILL');
    case 'watchdog frozen':
      return signal(watchdog, 'SIGSTOP');
    case 'runner frozen, watchdog killed':
      signal(runner, 'SIGSTOP');
      return signal(watchdog, 'SIGKILL');
  }
}

function signal(pid: number, name: NodeJS.Signals): void {
  try {
    process.kill(pid, name);
  } catch {
    // It has ended.
  }
}

async function isLitIn(emulation: Emulation, ms: number): Promise<boolean> {
  for (const end = performance.now() + ms; performance.now() < end; await pause(25))
    if (await outputIsOn(emulation)) return true;
  return false;
}

function verdictsIn(cwd: string): readonly string[] {
  try {
    return conditionsOf(newestRecord(cwd)).map(({ verdict }) => verdict);
  } catch {
    // It was killed before it had stored anything.
    return [];
  }
}
