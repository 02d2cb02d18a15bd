import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import type { ConditionRecord, RunRecord } from '../../harness/record/run-record.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { outputIsOn, writeRig } from './emulated-rig.ts';
import { buildProgram, evenfall, Running } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const levels = ['90 %', '60 %', '30 %'];
const files = { 'specs/dims.spec.yaml': dimmingSpec('dims', levels) };
/** How often the runner is killed; a night's run sets more. */
const kills = Number(process.env['EVENFALL_KILLS'] ?? 3);

let emulation: Emulation;
beforeAll(async () => {
  buildProgram();
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** A folder with a spec and a rig file, and calls in it with locks of its own. */
function place(change?: (text: string) => string) {
  const cwd = desk(files);
  // A busy machine is no trouble of the bench.
  const patient = (text: string): string =>
    text.replace(/(\n {4}driver: (?:console|dali|scpi)\n)/g, '$1    retries: 3\n');
  const rig = writeRig(emulation, cwd, (text) => patient(change?.(text) ?? text));
  const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
  const args = ['run', 'specs', '--rig', rig];
  return { cwd, env, rig, args };
}

function conditionsOf({ specs }: RunRecord): readonly ConditionRecord[] {
  return specs.flatMap(({ conditions }) => conditions);
}

const isLit = (stdout: string): boolean => stdout.includes('"event":"condition-started"');

describe('a run on a rig', () => {
  it('passes over real ports, knows its instruments, and leaves the rig safe and free', async () => {
    const { cwd, env, args } = place();
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(/can provoke seizures/);
    expect(exitCode).toBe(0);
    const record = recordIn(runsIn(cwd)[0]!);
    expect(record.safeState).toMatchObject({ confirmed: true });
    expect(conditionsOf(record).map(({ verdict }) => verdict)).toEqual(['pass', 'pass', 'pass']);
    const serials = record.rig.instruments.map(({ name, identity }) => [name, identity.serial]);
    expect(serials).toContainEqual(['supply', 'EM-0002']);
    expect(record.rig.simulated).toBe(false);
    expect(readdirSync(env.EVENFALL_LOCKS)).toEqual([]);
    expect(await outputIsOn(emulation)).toBe(false);
  });

  it('tells a second comer who has the rig, in one sentence, and exits with 75', async () => {
    const { cwd, env, args } = place();
    const first = new Running([...args, '--json'], { cwd, env });
    await first.until(isLit);
    const second = await evenfall(args, { cwd, env });
    expect(second.exitCode).toBe(75);
    expect(second.stderr).toMatch(
      /evenfall: rig emulated is in use by .+ on .+ \(process \d+, since .+\); wait until it has ended\n$/,
    );
    first.child.kill('SIGINT');
    expect((await first.ended).exitCode).toBe(130);
    expect(recordIn(runsIn(cwd)[0]!).safeState).toMatchObject({ confirmed: true });
    expect(readdirSync(env.EVENFALL_LOCKS)).toEqual([]);
  });

  it('takes over a lock whose owner is gone', async () => {
    const { cwd, env, args } = place();
    const probe = new Running([...args, '--json'], { cwd, env });
    await probe.until(isLit);
    const lock = join(env.EVENFALL_LOCKS, 'evenfall-emulated.lock');
    const text = readFileSync(lock, 'utf8');
    probe.child.kill('SIGINT');
    await probe.ended;
    writeFileSync(lock, text);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(/was left by .+, which is gone; taken over/);
    expect({ exitCode, stderr }).toMatchObject({ exitCode: 0 });
  });

  it.each([
    ['Ctrl-C pressed twice', ['SIGINT', 'SIGINT'], 130],
    ['a terminal that is closed', ['SIGHUP'], null],
    ['a crash', ['SIGABRT'], null],
  ] as const)('is made safe and set free after %s', async (_, signals, code) => {
    const { cwd, env, args } = place();
    const running = new Running([...args, '--json'], { cwd, env });
    await running.until(isLit);
    for (const signal of signals) running.child.kill(signal);
    expect((await running.ended).exitCode).toBe(code);
    const lock = join(env.EVENFALL_LOCKS, 'evenfall-emulated.lock');
    while (existsSync(lock)) await new Promise((resolve) => setTimeout(resolve, 20));
    expect(await outputIsOn(emulation)).toBe(false);
  });

  it('is made safe within 2 s when the runner is killed, and can be gone on with', async () => {
    for (let kill = 0; kill < kills; kill++) {
      const { cwd, env, args } = place();
      const running = new Running([...args, '--json'], { cwd, env });
      await running.until(isLit);
      // Spread over the first conditions, by the golden ratio.
      const wait = ((kill * 0.618) % 1) * 4000;
      await new Promise((resolve) => setTimeout(resolve, wait));
      running.child.kill('SIGKILL');
      const killed = performance.now();
      const lock = join(env.EVENFALL_LOCKS, 'evenfall-emulated.lock');
      const note = `${lock}.safe.json`;
      while (await outputIsOn(emulation)) await new Promise((resolve) => setTimeout(resolve, 20));
      expect((performance.now() - killed) / 1000).toBeLessThan(2);
      while (!existsSync(note)) await new Promise((resolve) => setTimeout(resolve, 20));
      expect(JSON.parse(readFileSync(note, 'utf8'))).toMatchObject({ confirmed: true });
      const again = await evenfall([...args, '--resume', runsIn(cwd)[0]!], { cwd, env });
      const record = recordIn(runsIn(cwd)[0]!);
      const reasons = conditionsOf(record).map(({ reason }) => reason);
      expect({ exitCode: again.exitCode, reasons }).toMatchObject({ exitCode: 0 });
      expect(conditionsOf(record).map(({ key }) => key)).toHaveLength(levels.length);
      expect(conditionsOf(record).every(({ verdict }) => verdict === 'pass')).toBe(true);
    }
  }, 600_000);

  it.each([
    [
      'another serial',
      (text: string) => text.replace('EM-0002', 'EM-9'),
      69,
      /expects serial EM-9/,
    ],
    [
      'a port where nobody is',
      (text: string) =>
        text.replace(/(profile: .*tarn-p60.*\n\s+address: )\S+/, '$1tcp://127.0.0.1:9'),
      69,
      /supply: .*ECONNREFUSED/,
    ],
    [
      'a driver misspelt',
      (text: string) => text.replace('driver: scpi', 'driver: scip'),
      65,
      /"scpi"/,
    ],
    [
      'a setting misspelt',
      (text: string) => text.replace('address:', 'adress:'),
      65,
      /did you mean "address"/,
    ],
  ])('switches nothing on with %s', async (_, change, code, words) => {
    const { cwd, env, args } = place(change);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(code);
    expect(await outputIsOn(emulation)).toBe(false);
    expect(readdirSync(env.EVENFALL_LOCKS)).toEqual([]);
  });

  it('refuses flashing light unless it is said to be all right', async () => {
    const { cwd, env, args } = place();
    const spec = join(cwd, 'specs/dims.spec.yaml');
    writeFileSync(
      spec,
      `${readFileSync(spec, 'utf8').replace(/^tags:.*\n/m, '')}tags: [flashing]\n`,
    );
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(exitCode).toBe(64);
    expect(stderr).toMatch(/dims: .*seizures.*--flashing-ok/);
  });
});
