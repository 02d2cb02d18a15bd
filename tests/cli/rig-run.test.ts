import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import type { ConditionRecord, RunRecord } from '../../harness/record/run-record.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { sampleSeed, whole } from '../sampled.ts';
import { outputIsOn, writeRig } from './emulated-rig.ts';
import { evenfall, Running } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const levels = ['90 %', '60 %', '30 %'];
/** Long beside the time that a command may take on a busy machine. */
const files = { 'specs/dims.spec.yaml': dimmingSpec('dims', levels, '', '250 ms') };
/** How often the runner is killed. */
const kills = Number(process.env['EVENFALL_KILLS'] ?? (whole ? 20 : 1));

let emulation: Emulation;
beforeAll(async () => {
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
  const args = ['run', 'specs', '--rig', rig, '--retries', '5'];
  return { cwd, env, rig, args };
}

function conditionsOf({ specs }: RunRecord): readonly ConditionRecord[] {
  return specs.flatMap(({ conditions }) => conditions);
}

/** A run that nobody disturbs: how long it takes, ms, and what it finds. */
async function undisturbed() {
  const { cwd, env, args } = place();
  const started = performance.now();
  const { exitCode, stderr } = await evenfall([...args, '--json'], { cwd, env });
  expect(exitCode, stderr).toBe(0);
  return { took: performance.now() - started, outline: outline(recordIn(runsIn(cwd)[0]!)) };
}

/** Everything that a run has to have once, whatever happened to it. */
function outline(record: RunRecord) {
  return conditionsOf(record).map(({ key, verdict, findings, captures }) => ({
    key,
    verdict,
    findings: findings.map(({ metric, of, during }) => `${metric} of ${of} during ${during}`),
    captures: captures.length,
  }));
}

/** Conditions that had ended when the runner died. */
function journalIn(cwd: string) {
  if (!existsSync(join(cwd, 'reports'))) return [];
  return runsIn(cwd).flatMap((folder) => {
    const journal = join(folder, 'journal.ndjson');
    if (!existsSync(journal)) return [];
    // The last line may have been cut off.
    const lines = readFileSync(journal, 'utf8').split('\n').slice(0, -1);
    return lines.map((line) => {
      const { key, startedAt }: ConditionRecord = JSON.parse(line).condition;
      return { key, startedAt };
    });
  });
}

function locksIn(folder: string): readonly string[] {
  return existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.lock')) : [];
}

function lastEvents(stdout: string): string {
  const events = stdout.split('\n').filter((line) => line !== '');
  return `last events: ${events
    .slice(-2)
    .map((line) => line.slice(0, 200))
    .join(' / ')}`;
}

function pause(ms: number): Promise<null> {
  return new Promise((resolve) => setTimeout(() => resolve(null), ms));
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
      /evenfall: rig emulated is in use by .+ on .+ \(process \d+, since .+\); wait until it ends\n$/,
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
    expect(stderr).toMatch(/Took over the lock of rig emulated: .+ no longer runs/);
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

  it(
    'is made safe within 2 s when the runner is killed, and can be gone on with',
    async () => {
      const undisturbedRun = await undisturbed();
      for (let kill = 0; kill < kills; kill++) {
        const { cwd, env, args } = place();
        // Anywhere from the start of the process to its end, by the golden ratio.
        const wait = ((kill * 0.618 + (sampleSeed % 1000) / 1000) % 1) * undisturbedRun.took;
        const running = new Running([...args, '--json'], { cwd, env });
        const over = await Promise.race([running.ended, pause(wait)]);
        running.child.kill('SIGKILL');
        const killed = performance.now();
        const story = [
          `kill ${kill} after ${wait.toFixed(0)} ms${over ? ', when it had ended' : ''}`,
        ];
        const tell = (what: string): void => {
          story.push(`${(performance.now() - killed).toFixed(0)} ms: ${what}`);
        };
        while (await outputIsOn(emulation)) {
          if (performance.now() - killed > 10_000) break;
          await pause(20);
        }
        const safeAfter = (performance.now() - killed) / 1000;
        tell('the output is off');
        const { stdout, stderr } = await running.ended;
        story.push(`runner said: ${stderr.split('\n').slice(-4).join(' / ')}`, lastEvents(stdout));
        expect(safeAfter, story.join('\n')).toBeLessThan(2);
        const kept = journalIn(cwd);
        tell(`the journal holds ${kept.length} conditions`);
        const found = existsSync(join(cwd, 'reports')) ? runsIn(cwd) : [];
        const sealed = found.some((folder) => existsSync(join(folder, 'manifest.json')));
        if (!sealed) {
          // The watchdog gives the lock up when all is safe; until then a new run waits for it.
          const resume = found.length > 0 ? ['--resume', found[0]!] : [];
          const again = await evenfall([...args, ...resume], { cwd, env });
          tell(`the next run ended with ${again.exitCode}: ${again.stderr}`);
          expect(again.exitCode, story.join('\n')).toBe(0);
        }
        // After a whole run nobody waited for the watchdog yet.
        while (locksIn(env.EVENFALL_LOCKS).length > 0) {
          if (performance.now() - killed > 60_000) break;
          await pause(20);
        }
        const note = join(env.EVENFALL_LOCKS, 'evenfall-emulated.lock.safe.json');
        if (existsSync(note))
          expect(JSON.parse(readFileSync(note, 'utf8')), story.join('\n')).toMatchObject({
            confirmed: true,
          });
        expect(locksIn(env.EVENFALL_LOCKS), story.join('\n')).toEqual([]);
        expect(runsIn(cwd), story.join('\n')).toHaveLength(1);
        const record = recordIn(runsIn(cwd)[0]!);
        expect(outline(record), story.join('\n')).toEqual(undisturbedRun.outline);
        // What was in the journal when the runner died is there as it was, not measured again.
        const now = conditionsOf(record).map(({ key, startedAt }) => ({ key, startedAt }));
        expect(now, story.join('\n')).toEqual(expect.arrayContaining(kept));
        const captures = conditionsOf(record).flatMap((each) =>
          each.captures.map(({ file }) => file),
        );
        expect(new Set(captures).size, story.join('\n')).toBe(captures.length);
        const manifest = (await readManifest(runsIn(cwd)[0]!))!;
        expect(await brokenFiles(runsIn(cwd)[0]!, manifest), story.join('\n')).toEqual([]);
      }
    },
    60_000 + kills * 60_000,
  );

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
    // What the files say wrong is told before a lock is taken.
    const locks = existsSync(env.EVENFALL_LOCKS) ? readdirSync(env.EVENFALL_LOCKS) : [];
    expect(locks).toEqual([]);
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
