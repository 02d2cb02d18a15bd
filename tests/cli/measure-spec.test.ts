import { copyFile, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { register } from '../../harness/cli/measuring/measure.ts';
import { runCommand } from './run-command.ts';

const channels = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'];

/** 100 % to 10 % in `over` seconds from 0.7 s after `begin` on, straight on the logarithmic curve; 4 kS/s, in A. */
function fadeCsv(names: readonly string[], over = 2, begin = 5): string {
  const level = (at: number) => (at < 0.7 ? 1 : 0.1 ** Math.min(1, (at - 0.7) / over));
  const rows = Array.from({ length: 4 * 3200 }, (_, k) => {
    const current = 0.3 * level((k + 0.5) / 4000);
    return [begin + k / 4000, ...names.map(() => current.toPrecision(8))].join(',');
  });
  return [['time', ...names.map((name) => `${name} (A)`)].join(','), ...rows].join('\n');
}

/** 100 lx with `depth` of modulation at 100 Hz; 1.2 s at 50 kS/s. */
const toneCsv = (depth: number) =>
  ['time,light (lx)']
    .concat(
      Array.from({ length: 60_000 }, (_, k) => {
        const light = 100 * (1 + depth * Math.sin((2 * Math.PI * k) / 500));
        return `${(k / 50_000).toFixed(5)},${light.toPrecision(8)}`;
      }),
    )
    .join('\n');

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'evenfall-measure-spec-'));
  await writeFile(join(folder, 'fade.csv'), fadeCsv(channels));
  await writeFile(join(folder, 'slow.csv'), fadeCsv(channels, 2.3));
  await writeFile(join(folder, 'two.csv'), fadeCsv(['warm', 'cool']));
  await writeFile(join(folder, 'steady.csv'), toneCsv(0.001));
  await writeFile(join(folder, 'rippled.csv'), toneCsv(0.2));
});
afterAll(() => rm(folder, { recursive: true }));

const spec = (name: string) => join(process.cwd(), `specs/${name}.spec.yaml`);
const hold = (file: string, name: string, ...args: string[]) =>
  runCommand(register, [file, '--spec', spec(name), ...args], { cwd: folder });
const fades = ['--condition', 'fade-time=2 s, to=10 %', '--begin', '5 s'];

describe('a recorded file held against a spec', () => {
  it('passes and fails by the criteria of the condition that it is of, with the exit code of a run', async () => {
    const passed = await hold('fade.csv', 'fading/fades-on-time', ...fades);
    expect(passed.stdout).toContain('● pass  fading/fades-on-time, fade time 2 s');
    expect(passed.stdout).toContain('6 of 6 findings (6 pass)');
    expect(passed.exitCode).toBe(0);
    const failed = await hold('slow.csv', 'fading/fades-on-time', ...fades);
    expect(failed.stdout).toMatch(/▲ Fade duration of warm, during fading: 2\.29\d* .*: fail/);
    expect(failed.exitCode).toBe(1);
  });

  it('says which findings have no column, and does not call that a fault of lamp or bench', async () => {
    const { stdout, exitCode } = await hold('two.csv', 'fading/fades-on-time', ...fades);
    expect(stdout).toContain('2 of 6 findings (2 pass)');
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'red, during fading: not judged: the file does not hold its record: no channel-current or light of red (its columns are "warm", "cool")',
    );
    expect(exitCode).toBe(2);
  });

  it('judges the window that is said to lie somewhere, without the stimulus', async () => {
    const passed = await hold('steady.csv', 'flicker/steady-at-full', '--mark', 'steady=0s..1s');
    expect(passed.exitCode).toBe(0);
    const failed = await hold('rippled.csv', 'flicker/steady-at-full', '--mark', 'steady=0 s');
    expect(failed.exitCode).toBe(1);
  });

  it.each([
    [
      'no window',
      'steady.csv',
      'flicker/steady-at-full',
      [],
      'say where that lies in the file (--mark steady=INSTANT)',
    ],
    [
      'no condition',
      'fade.csv',
      'fading/fades-on-time',
      ['--begin', '5 s'],
      '6 conditions could be meant',
    ],
    [
      'no fade',
      'fade.csv',
      'fading/fades-on-time',
      ['--condition', 'fade-time=2 s, to=10 %', '--mark', 'fading=5.4s'],
      'it reads the light that was commanded',
    ],
    [
      'a file that ends too early',
      'fade.csv',
      'fading/fades-on-time',
      ['--condition', 'fade-time=8 s, to=10 %', '--begin', '5 s'],
      'the file covers 0 s to 3.2 s',
    ],
    [
      'answers of the lamp',
      'fade.csv',
      'control/dali-answers',
      ['--begin', '5 s'],
      'answers of the lamp: not judged',
    ],
  ])('with %s a claim is not judged, and says why', async (_, file, name, args, words) => {
    const { stdout, exitCode } = await hold(file, name, ...args);
    expect(stdout.replace(/\s+/g, ' ')).toContain(words);
    expect(stdout).not.toMatch(/[●▲✕]/);
    expect(exitCode).toBe(2);
  });

  it('judges a ratio of two windows without the commanded level, and no error of a level', async () => {
    const claim = (criterion: string) => `spec: stays
claim: The light stays.
traces: [REQ-1]
tags: [commit]
stimulus:
  - set: { level: 100 %, mix: all }
  - mark: one
  - hold: 1 s
  - mark: two
  - hold: 1 s
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - ${criterion}
`;
    const ratio =
      '{ metric: level-ratio, of: light, during: two, reference: one, between: [99 %, 101 %] }';
    const error =
      '{ metric: level-error, of: light, during: two, reference: one, between: [-5 %, 5 %] }';
    await writeFile(join(folder, 'ratio.spec.yaml'), claim(ratio));
    await writeFile(join(folder, 'error.spec.yaml'), claim(error));
    const marks = ['--mark', 'one=0 s', '--mark', 'two=0.6 s', '--calibration', 'offset=0.1lx'];
    const judged = (name: string) =>
      runCommand(register, ['steady.csv', '--spec', name, ...marks], { cwd: folder });
    expect((await judged('ratio.spec.yaml')).exitCode).toBe(0);
    expect((await judged('error.spec.yaml')).stdout).toContain('it reads the light that was');
  });

  it('prints every claim of a folder as JSON, in SI, and picks by id', async () => {
    const claims = join(folder, 'claims');
    await mkdir(claims);
    for (const name of ['flicker/steady-at-full', 'mains/standby-power', 'control/dali-answers'])
      await copyFile(spec(name), join(claims, `${name.split('/')[1]}.spec.yaml`));
    const args = ['steady.csv', '--spec', 'claims', '--json', '--mark', 'steady=0s'];
    const all = JSON.parse((await runCommand(register, args, { cwd: folder })).stdout).claims;
    const verdicts = all.map(({ spec, verdict }: Record<string, string>) => `${spec} ${verdict}`);
    expect(verdicts.sort()).toEqual([
      'dali-answers not run',
      'standby-power not run',
      'steady-at-full pass',
    ]);
    const steady = all.find((claim: { spec: string }) => claim.spec === 'steady-at-full');
    expect(steady.findings[0]).toMatchObject({ metric: 'modulation', verdict: 'pass', unit: '1' });
    expect(steady.findings[0].value).toBeCloseTo(0.001, 4);
    const one = await runCommand(register, [...args, '--claim', 'steady-at-full'], { cwd: folder });
    expect(JSON.parse(one.stdout).claims).toHaveLength(1);
    expect(one.exitCode).toBe(0);
  });

  it.each([
    [['--metric', 'modulation'], '--metric: not with --spec'],
    [['--claim', 'steady-at-ful'], 'did you mean "steady-at-full"?'],
    [['--mark', 'stedy=0s'], 'did you mean "steady"?'],
    [['--begin', '9 s'], '--begin: expected an instant before the end of the record'],
    [['--begin', '0 s', '--mark', 'steady=0s'], '--mark: not with --begin'],
    [['--condition', 'level=3 %'], 'it has no conditions'],
  ])('%j is refused with what to do', async (args, words) => {
    const { stderr, exitCode } = await hold('steady.csv', 'flicker/steady-at-full', ...args);
    expect(stderr).toContain(words);
    expect(exitCode).toBe(64);
  });

  it('wants a spec beside what is said of one', async () => {
    const { stderr } = await runCommand(register, ['steady.csv', '--begin', '0 s'], {
      cwd: folder,
    });
    expect(stderr).toContain('--begin: expected --spec FILE beside it');
  });
});
