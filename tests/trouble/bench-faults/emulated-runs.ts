import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { ConditionRecord, RunRecord } from '../../../harness/record/run-record.ts';
import { outputIsOn, writeRig } from '../../cli/emulated-rig.ts';
import { desk, dimmingSpec, recordIn, runsIn } from '../../cli/small-specs.ts';

/** A folder with a spec and a rig file of the emulated bench, and how the program is called in it. */
export function benchDesk(
  emulation: Emulation,
  {
    change = (text: string) => text,
    levels = ['90 %', '60 %', '30 %'],
    hold = '250 ms',
  }: {
    readonly change?: (text: string) => string;
    readonly levels?: readonly string[];
    readonly hold?: string;
  } = {},
) {
  const cwd = desk({ 'specs/dims.spec.yaml': dimmingSpec('dims', levels, '', hold) });
  // A busy machine is no trouble of the bench.
  const patient = (text: string): string =>
    text.replace(/(\n {4}driver: (?:console|dali|scpi)\n)/g, '$1    retries: 3\n');
  const rig = writeRig(emulation, cwd, (text) => change(patient(text)));
  const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
  return { cwd, env, rig, args: ['run', 'specs', '--rig', rig, '--json'] };
}

export function newestRecord(cwd: string): RunRecord {
  const newest = runsIn(cwd).at(-1);
  if (newest === undefined) throw new Error('no run was stored');
  return recordIn(newest);
}

export function conditionsOf({ specs }: RunRecord): readonly ConditionRecord[] {
  return specs.flatMap(({ conditions }) => conditions);
}

export function locksIn(folder: string): readonly string[] {
  return existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.lock')) : [];
}

/** Processes of the watchdogs of the rig `emulated`, the first one first. */
export function watchdogsIn(folder: string): readonly [number, number] {
  const lock = JSON.parse(readFileSync(join(folder, 'evenfall-emulated.lock'), 'utf8'));
  return [lock.watchdog, lock.second];
}

/** Between two conditions a lamp is without power for half a second: dark for good is longer, ms. */
const darkForGood = 1200;

/** How long after now the lamp was lit last, s; at most `most`. */
export async function darkAfter(emulation: Emulation, most: number): Promise<number> {
  const began = performance.now();
  let lit = began;
  while (performance.now() - lit < darkForGood && lit - began < most * 1000) {
    if (await outputIsOn(emulation)) lit = performance.now();
    await pause(20);
  }
  return (lit - began) / 1000;
}

export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

export const isLit = (stdout: string): boolean => stdout.includes('"event":"condition-started"');
