import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { TroubleKind } from '../../../drivers/plant/emulate/trouble.ts';
import { contradictionsOf } from '../../../harness/record/contradictions.ts';
import { evenfall, Running } from '../../cli/program.ts';
import { runsIn } from '../../cli/small-specs.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, newestRecord } from './emulated-runs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});
beforeEach(() => emulation.troubles.set([]));

const patience = { timeout: 180_000 };

const before = 'before: { stable: { within: 1 %, over: 2 s, at-most: 20 s } }\n';

/** A bench whose rig file looks before and after. */
function desk(after: string, first = before) {
  return benchDesk(emulation, {
    levels: ['90 %', '60 %'],
    change: (text) => `${text}${first}after: ${after}\n`,
  });
}

/** Something befalls the digitiser once the first condition has begun. */
async function runWith(kind: TroubleKind, { args, cwd, env }: ReturnType<typeof desk>) {
  const running = new Running(args, { cwd, env });
  await running.until((stdout) => stdout.includes('"event":"condition-started"'));
  emulation.troubles.set([{ kind, on: 'digitiser', from: 1, once: false, seconds: 0 }]);
  return running.ended;
}

describe('what is looked at after the last claim', () => {
  it('is recorded, and stops no bench that is sound', patience, async () => {
    const bench = desk('{ dark: { at-most: 100 mlx }, drift: { at-most: 1 % } }');
    const { exitCode, stderr } = await evenfall(bench.args, bench);
    expect(stderr).not.toMatch(/NOT GOOD/);
    expect(stderr).toMatch(/Checking the bench again after the last claim: the light comes on/);
    const record = newestRecord(bench.cwd);
    expect(exitCode, stderr).toBe(0);
    expect(record).toMatchObject({ verdict: 'pass', safeState: { confirmed: true } });
    expect(record.rig.after, stderr).toMatchObject({ state: 'good', why: null });
    expect(record.rig.after?.checks.map(({ check }) => check)).toEqual(['stable', 'drift', 'dark']);
    expect(record.rig.readBefore).toHaveLength(1);
    expect(record.rig.readBefore?.[0]).toMatchObject({
      light: 'the lamp at full level',
      unit: 'lx',
    });
  });

  it(
    'tells a bench that drifted by 3 % in the run: an error, and no fault of the lamp',
    patience,
    async () => {
      const bench = desk('{ drift: { at-most: 1 % } }');
      const { exitCode, stderr, stdout } = await runWith('drifted', bench);
      expect(stderr).toMatch(
        /drift: NOT GOOD: the lamp at full level reads .* lx, -(2\.9\d*|3(\.0\d*)?) % from/,
      );
      expect(exitCode, stderr).toBe(3);
      expect(stdout).toMatch(/"event":"run-ended".*"verdict":"error"/);
      const record = newestRecord(bench.cwd);
      expect(record).toMatchObject({ ended: 'complete', verdict: 'error' });
      expect(record.safeState.confirmed).toBe(true);
      expect(conditionsOf(record).map(({ verdict }) => verdict)).toEqual(['pass', 'pass']);
      expect(conditionsOf(record).every(({ captures }) => captures.length > 0)).toBe(true);
      expect(record.rig.after?.state).toBe('broken');
      expect(contradictionsOf(record)).toEqual([]);
      expect(contradictionsOf({ ...record, verdict: 'pass' })).toHaveLength(1);

      const [folder = ''] = runsIn(bench.cwd);
      const unproved =
        /after the last claim the bench emulated was not good: drift: .* is not proved/i;
      const junit = readFileSync(join(folder, 'junit.xml'), 'utf8');
      expect(junit).toMatch(
        /name="the bench is good after the last claim"[^>]*>\s*<error [^>]*type="bench"/,
      );
      expect(junit).toMatch(unproved);
      expect(readFileSync(join(folder, 'index.html'), 'utf8')).toMatch(unproved);
      const { stdout: told } = await evenfall(['report', 'latest'], bench);
      expect(told.replaceAll(/\s+/g, ' ')).toMatch(unproved);

      const judged = await evenfall(['report', 'latest', '--rejudge'], bench);
      expect(judged.exitCode, judged.stderr).toBe(3);
      expect(newestRecord(bench.cwd)).toMatchObject({
        verdict: 'error',
        follows: [{ id: record.id }],
      });
      const compared = await evenfall(['compare', record.id, 'latest'], bench);
      expect(compared.exitCode).toBe(3);
      expect(compared.stdout.replaceAll(/\s+/g, ' ')).toMatch(
        /error \(its bench was not good after/,
      );

      const resumed = await evenfall([...bench.args, '--resume', record.id], bench);
      expect(resumed.exitCode).toBe(64);
      expect(resumed.stderr).toMatch(/cannot resume run .* was not good: drift/);
      const again = await evenfall([...bench.args, '--failed-in', record.id], bench);
      expect(again.stdout + again.stderr).toMatch(/dims/);
      expect(newestRecord(bench.cwd).selection.failedIn).toBe(record.id);
    },
  );

  it('may be told to note it only', patience, async () => {
    const bench = desk('{ drift: { at-most: 1 %, beyond: note } }');
    const { exitCode, stderr } = await runWith('drifted', bench);
    expect(stderr).toMatch(/drift: noted: /);
    expect(exitCode, stderr).toBe(0);
    const record = newestRecord(bench.cwd);
    expect(record.rig.after).toMatchObject({ state: 'good' });
    expect(record.rig.after?.checks.at(-1)).toMatchObject({ check: 'drift', result: 'noted' });
    expect(record.deviations.map(({ kind }) => kind)).toContain('bench noted');
  });

  it.each([
    ['dark: { at-most: 0.0001 mlx }', /dark: NOT GOOD/],
    ['reference: { expected: 10 lx, within: 1 % }', /reference: NOT GOOD: .*10 lx expected/],
  ])('makes the run an error by %s, also where a claim failed', patience, async (check, words) => {
    const bench = benchDesk(emulation, {
      levels: ['90 %'],
      change: (text) => `${text}after: { ${check} }\n`,
    });
    const spec = join(bench.cwd, 'specs/dims.spec.yaml');
    writeFileSync(spec, readFileSync(spec, 'utf8').replace('target: $level', 'target: 10 %'));
    const { exitCode, stderr } = await evenfall(bench.args, bench);
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(3);
    const record = newestRecord(bench.cwd);
    expect(record.specs.map(({ verdict }) => verdict)).toEqual(['fail']);
    expect(record).toMatchObject({ verdict: 'error', rig: { after: { state: 'broken' } } });
  });

  it(
    'is made at the end of a resumed run, against what was read before its first part',
    patience,
    async () => {
      const bench = desk('{ drift: { at-most: 1 % } }');
      const running = new Running(bench.args, bench);
      await running.until((stdout) => stdout.includes('"event":"condition-ended"'));
      running.child.kill('SIGINT');
      expect((await running.ended).exitCode).toBe(130);
      const first = newestRecord(bench.cwd);
      expect(first.rig.after).toMatchObject({
        state: 'not checked',
        why: expect.stringMatching(/SIGINT/),
      });
      expect(first.deviations.map(({ kind }) => kind)).toContain('bench not checked');

      // It drifts between the parts: what it reads before the second one is as wrong as after it.
      emulation.troubles.set([
        { kind: 'drifted', on: 'digitiser', from: 1, once: false, seconds: 0 },
      ]);
      const { exitCode, stderr } = await evenfall([...bench.args, '--resume', 'latest'], bench);
      expect(stderr).toMatch(/drift: NOT GOOD/);
      expect(exitCode, stderr).toBe(3);
      const record = newestRecord(bench.cwd);
      expect(record.rig.readBefore).toHaveLength(2);
      expect(record.follows).toEqual([{ id: first.id, how: 'resumes' }]);
    },
  );

  it('fails with its instrument, and a resumed run makes it up', patience, async () => {
    const bench = desk('{ dark: { at-most: 100 mlx } }', '');
    const running = new Running([...bench.args, '--retries', '0'], bench);
    await running.until((_, stderr) => stderr.includes('Checking the bench again'));
    emulation.troubles.set([
      { kind: 'garbage', on: 'digitiser', from: 1, once: false, seconds: 0 },
    ]);
    const { exitCode, stderr } = await running.ended;
    emulation.troubles.set([]);
    expect(exitCode, stderr).toBe(3);
    const broken = newestRecord(bench.cwd);
    expect(broken).toMatchObject({ verdict: 'error', ended: 'complete' });
    expect(broken.rig.after?.state).toBe('failed');
    expect(broken.rig.after?.why).toMatch(/digitiser/);
    expect(conditionsOf(broken).map(({ verdict }) => verdict)).toEqual(['pass', 'pass']);

    const resumed = await evenfall([...bench.args, '--resume', 'latest'], bench);
    expect(resumed.exitCode, resumed.stderr).toBe(0);
    const record = newestRecord(bench.cwd);
    expect(record).toMatchObject({ verdict: 'pass', rig: { after: { state: 'good' } } });
    expect(resumed.stdout).not.toMatch(/condition-started/);
  });

  it('is not made on a bench that was not good before', patience, async () => {
    const bench = desk(
      '{ dark: { at-most: 1 lx } }',
      'before: { reference: { expected: 10 lx, within: 1 % } }\n',
    );
    const { exitCode, stderr } = await evenfall(bench.args, bench);
    expect(exitCode).toBe(3);
    expect(stderr).not.toMatch(/Checking the bench again/);
    expect(newestRecord(bench.cwd).rig.after).toMatchObject({ state: 'not checked' });
    expect(newestRecord(bench.cwd).rig.after?.why).toMatch(/before the first claim .* reference/);
  });

  it(
    'holds a check standard against a history of its own, and its drift within the run',
    patience,
    async () => {
      const standard = 'check-standard: { standard: "Alcove-6 no. 12", level: 50 % }';
      const bench = desk(`{ ${standard}, drift: { at-most: 2 % } }`, `before: { ${standard} }\n`);
      const good = await evenfall(bench.args, bench);
      expect(good.exitCode, good.stderr).toBe(0);
      const file = join(bench.cwd, 'bench.check-standards.yaml');
      const [first, last] = parse(readFileSync(file, 'utf8'));
      expect(first.when).toBeUndefined();
      expect(last.when).toBe('after');
      const days = Array.from({ length: 12 }, (_, day) => ({
        ...last,
        at: `2026-10-${10 + day}T06:00:00.000Z`,
        value: last.value * 1.1 * (1 + (day % 2 ? 0.004 : -0.004)),
      }));
      writeFileSync(file, stringify(days));
      const { exitCode, stderr } = await evenfall(bench.args, bench);
      expect(stderr).toMatch(/check-standard: Alcove-6 no\. 12 reads .* measurement 1, and limits/);
      expect(stderr).toMatch(/check-standard: NOT GOOD: .*beyond 3 s/);
      expect(stderr).toMatch(/drift: Alcove-6 no\. 12 reads/);
      expect(exitCode).toBe(3);
      const { rig } = newestRecord(bench.cwd);
      expect(rig.standard?.points).toHaveLength(1);
      expect(rig.after?.standard?.points.at(-1)?.rule).toBe('beyond 3 s');
      const chart = await evenfall(['rig', 'standard', '--rig', 'bench.rig.yaml'], bench);
      expect(chart.stdout).toMatch(/Alcove-6 no\. 12, light of all, after the last claim/);
    },
  );

  it.each([
    ['after: {}', /after: expected dark, reference, drift or check-standard, found none/],
    ['after: { drift: { at-most: 1 % } }', /expected a before: that reads the same light/],
    [
      'before: { dark: { at-most: 1 lx } }\nafter: { drift: { at-most: 1 % } }',
      /expected stable or reference in before:, or the same check-standard in both/,
    ],
    [
      'before: { signal: supply-current, stable: { within: 1 %, over: 1 s, at-most: 2 s } }\nafter: { drift: { at-most: 1 % } }',
      /expected a before: of light of all as well, found supply-current of all/,
    ],
    ['after: { dark: { at-most: 1 V } }', /after: expected figures in lx/],
  ])('says what is wrong with %s', async (text, words) => {
    const bench = benchDesk(emulation, { change: (rig) => `${rig}${text}\n` });
    const { exitCode, stderr } = await evenfall(bench.args, bench);
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(65);
  });
});
