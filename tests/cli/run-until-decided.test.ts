import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import { readRun } from '../../harness/archive/read-run.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { verifyRun } from '../../harness/archive/verify-run.ts';
import { contradictionsOf } from '../../harness/record/contradictions.ts';
import type { ConditionRecord, RunRecord } from '../../harness/record/run-record.ts';
import { newPerson } from '../archive/signed-run.ts';
import { evenfall, Running } from './program.ts';
import { desk, recordIn, runsIn } from './small-specs.ts';

const lamp = readFileSync(
  join(import.meta.dirname, '../../specs/lamps/alcove-6.lamp.yaml'),
  'utf8',
);
const quiet = readFileSync(
  join(import.meta.dirname, '../../specs/rigs/simulated.rig.yaml'),
  'utf8',
);
/** A photodiode with 40 lx of noise. */
const noisy = quiet.replace(/noise: 20 mlx/g, 'noise: 40 lx');

function spec(name: string, tolerance: string): string {
  return `spec: ${name}
claim: The lamp dims as commanded.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 100 ms
  - mark: full
  - hold: 100 ms
  - mark: settling
  - set: { level: 10 % }
  - hold: 100 ms
  - mark: low
  - hold: 100 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: level-ratio, of: light, during: low, reference: full, ${tolerance} }
`;
}

const files = {
  'specs/near.spec.yaml': spec('near', 'target: 10 %, tolerance: ± 2 %'),
  'specs/on.spec.yaml': spec('on', 'at-most: 10 %'),
  'a.lamp.yaml': lamp,
  'a.rig.yaml': noisy,
};
const bench = ['--lamp', 'a.lamp.yaml', '--rig', 'a.rig.yaml'];
const on = [...bench, '--seed', '2'];
const asked = ['run', 'specs', ...on, '--until-decided', '3'];

let cwd: string;
let folder: string;
let record: RunRecord;
let stdout: string;

beforeAll(async () => {
  cwd = desk(files);
  const ran = await evenfall(asked, { cwd });
  stdout = ran.stdout;
  [folder = ''] = runsIn(cwd);
  record = recordIn(folder);
});

function conditionOf({ specs }: RunRecord, name: string): ConditionRecord {
  const [condition] = specs.find((one) => one.spec === name)?.conditions ?? [];
  if (!condition) throw new Error(`no claim ${name}`);
  return condition;
}

const verdicts = ({ specs }: RunRecord) => specs.map((one) => `${one.spec} ${one.verdict}`);

describe('run --until-decided', () => {
  it('decides what one measurement leaves open, and leaves open what lies on its limit', async () => {
    expect(verdicts(record)).toEqual(['near pass', 'on inconclusive']);
    expect(conditionOf(record, 'near').findings[0]?.repeated).toMatchObject({ by: 'mean' });
    expect(conditionOf(record, 'on').measurements).toHaveLength(4);
    expect(record.decision).toEqual({ rule: 'guarded', coverageFactor: 2, again: 3 });
    const other = desk(files);
    await evenfall(['run', 'specs', ...on], { cwd: other });
    const [once = ''] = runsIn(other);
    expect(verdicts(recordIn(once))).toEqual(['near inconclusive', 'on inconclusive']);
  });

  it('gives every measurement other noise of the same lamp', () => {
    const values = conditionOf(record, 'on').findings[0]?.repeated?.values ?? [];
    expect(new Set(values).size).toBe(4);
    const stored = ['', '.2', '.3', '.4'].map((end) =>
      readFileSync(join(folder, `captures/0002-light${end}.codes`)).toString('base64'),
    );
    expect(new Set(stored).size).toBe(4);
  });

  it('says so in the summary, the page and JUnit', () => {
    const plain = stdout.replace(/\s+/g, ' ');
    expect(plain).toContain('(mean of 4 measurements), allowed at most 10 %');
    expect(plain).toContain('might be measured up to 3 times more, and 2 of them were');
    expect(plain).toContain('at k = 2.72');
    const junit = readFileSync(join(folder, 'junit.xml'), 'utf8');
    expect(junit).toMatch(/measured: mean of 4 measurements: [\d., %]+/);
    expect(junit).toContain('capture: captures/0002-light.4.codes');
    const page = readFileSync(join(folder, 'index.html'), 'utf8');
    expect(page).toContain('mean of 4 measurements');
  });

  it('stores captures of all measurements, sealed and without a contradiction', async () => {
    expect(await brokenFiles(folder, (await readManifest(folder))!)).toEqual([]);
    const { record: whole } = await readRun(folder);
    expect(contradictionsOf(whole)).toEqual([]);
    expect(conditionOf(whole, 'on').commanded).toBeDefined();
  });

  it('is found out where a measurement was left away, or more are claimed than were made', async () => {
    const { record: whole } = await readRun(folder);
    const forged = (change: (values: (number | null)[]) => void): readonly string[] => {
      const copy = structuredClone(whole);
      change(conditionOf(copy, 'on').findings[0]?.repeated?.values ?? []);
      return contradictionsOf(copy);
    };
    expect(forged((values) => values.pop())).toEqual([
      'level-ratio of light in on says it is the mean of 3 measurements, but these do not come to it',
    ]);
    expect(forged((values) => values.push(0.1))).toEqual([
      'level-ratio of light in on is of 5 measurements, but 4 are recorded',
    ]);
    expect(forged(() => {})).toEqual([]);
  });

  it('can be signed, and is verified with its rule', async () => {
    const person = newPerson('Mira Lund');
    const reason = 'the limit is that of the trial lamp';
    await signRun(folder, {
      ...{ decision: 'release', name: person.name, meaning: 'approval', key: person.key },
      ...{ waivers: [{ claim: 'on', reason }], signedAt: new Date().toISOString() },
    });
    const { problems } = await verifyRun(folder, [person.public]);
    expect(problems).toEqual([]);
  });

  it('is judged again from them with the same figures', async () => {
    const { exitCode, stderr } = await evenfall(['report', 'latest', '--rejudge', ...bench], {
      cwd,
    });
    expect(exitCode, stderr).toBe(2);
    const again = recordIn(runsIn(cwd).at(-1)!);
    expect(again.follows).toEqual([{ id: record.id, how: 'rejudges' }]);
    for (const name of ['near', 'on']) {
      const [one, other] = [conditionOf(record, name), conditionOf(again, name)];
      expect(other.findings).toEqual(one.findings);
      expect(other.measurements).toEqual(one.measurements);
    }
  });

  it('is replayed by its last measurement', async () => {
    const args = ['replay', record.id, '--claim', 'on', ...bench];
    const { stdout: told, stderr } = await evenfall(args, { cwd });
    expect(told + stderr).toContain('As on');
    expect(told).toContain('with the same figures');
  });

  it('is compared with a run that measured once', async () => {
    await evenfall(['run', 'specs', ...on, '--out', 'reports'], { cwd });
    const { exitCode, stdout: told } = await evenfall(['compare', record.id, 'latest'], { cwd });
    expect(exitCode).toBe(2);
    expect(told).toContain('newly inconclusive: 1');
    expect(told.replace(/\s+/g, ' ')).toContain(
      'measured up to 3 times more while inconclusive: ◐',
    );
  });

  it('is not reused by a run that measures once', async () => {
    const { exitCode } = await evenfall(['run', 'specs', ...on, '--reuse', '--out', 'reports'], {
      cwd,
    });
    expect(exitCode).toBe(2);
    const fresh = recordIn(runsIn(cwd).at(-1)!);
    const taken = fresh.specs
      .flatMap(({ conditions }) => conditions)
      .filter((one) => one.takenFrom?.run === record.id);
    expect(taken).toEqual([]);
  });
});

describe('a run that is cut off while it measures again', () => {
  /** Many: on a busy machine the signal comes late. */
  const levels = Array.from({ length: 40 }, (_, k) => `${(10 - k / 10).toFixed(1)} %`);
  const conditions = `conditions:\n  level: [${levels.join(', ')}]\nstimulus:`;
  const many = spec('on', 'at-most: $level')
    .replace('stimulus:', conditions)
    .replace('level: 10 %', 'level: $level');
  const own = { ...files, 'specs/on.spec.yaml': many };
  const args = [...asked, '--only', 'on', '--jobs', '1', '--json'];
  const findingsOf = ({ specs }: RunRecord) =>
    specs.flatMap((one) => one.conditions.map(({ key, findings }) => ({ key, findings })));

  it.each([
    ['SIGKILL', 'unfinished'],
    ['SIGINT', 'interrupted'],
  ] as const)('by %s comes to what it would have come to', async (signal, ended) => {
    const calm = desk(own);
    const undisturbed = await evenfall(args, { cwd: calm });
    const whole = recordIn(runsIn(calm)[0] ?? '');

    const at = desk(own);
    const running = new Running(args, { cwd: at });
    await running.until((text) => text.includes('"event":"condition-undecided"'));
    running.child.kill(signal);
    await running.ended;
    const { record: cut } = await readRun(runsIn(at)[0] ?? '');
    expect(cut.ended).toBe(ended);

    const resumed = await evenfall([...args, '--resume', 'latest'], { cwd: at });
    expect(resumed.exitCode, resumed.stderr).toBe(undisturbed.exitCode);
    const after = runsIn(at).at(-1) ?? '';
    expect(findingsOf(recordIn(after))).toEqual(findingsOf(whole));
    expect(await brokenFiles(after, (await readManifest(after))!)).toEqual([]);
  });
});

describe('run --until-decided is refused in a sentence', () => {
  it('with a number that is none, or too large', async () => {
    for (const times of ['0', '6', 'often']) {
      const { exitCode, stderr } = await evenfall(['run', '--until-decided', times], { cwd });
      expect(exitCode).toBe(64);
      expect(stderr).toContain(`expected a whole number from 1 to 5, found "${times}"`);
    }
  });

  it('to resume a run that had another number', async () => {
    const { exitCode, stderr } = await evenfall(['run', 'specs', ...on, '--resume', record.id], {
      cwd,
    });
    expect(exitCode).toBe(64);
    expect(stderr).toContain('the number of --until-decided is none; omit the option (it was 3)');
  });

  it('on a rig whose rule knows no uncertainty', async () => {
    const simple = noisy.replace('rule: guarded', 'rule: simple');
    const at = desk({ ...files, 'a.rig.yaml': simple });
    const { exitCode, stderr } = await evenfall(asked, { cwd: at });
    expect(exitCode).toBe(64);
    expect(stderr).toContain('has the decision rule simple');
  });
});
