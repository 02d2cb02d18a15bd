import { chmodSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { SqliteDatabase } from '../../harness/archive/sqlite.ts';
import { register as compare } from '../../harness/cli/archive/compare.ts';
import { register as runs } from '../../harness/cli/archive/runs.ts';
import { register as trend } from '../../harness/cli/archive/trend.ts';
import type { Finding, RunRecord } from '../../harness/record/run-record.ts';
import { archiveOf } from '../archive/archive-of.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { newPerson, sign } from '../archive/signed-run.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { runCommand } from './run-command.ts';

const scratch = scratchFolders();

/** A run of day `day` of March with one finding. */
function runOf(
  day: number,
  finding: Partial<Finding> & { value?: number } = {},
  over: Partial<RunRecord> = {},
) {
  const condition = sampleCondition({ findings: [sampleFinding(finding)] });
  const dd = String(day).padStart(2, '0');
  return sampleRecord({
    id: `${dd}aaaaaa77de4a5c0b1d`,
    startedAt: `2026-03-${dd}T05:06:07Z`,
    endedAt: `2026-03-${dd}T05:07:07Z`,
    specs: [sampleSpec('fade-on-time', [condition])],
    ...over,
  });
}

describe('evenfall runs', () => {
  it('lists the newest run first, with what a reader has to know of it', async () => {
    const root = scratch();
    await archiveOf(root, [
      runOf(1),
      runOf(2, { verdict: 'fail', reason: 'late' }, { faults: [{ fault: 'pwm-200-hz', size: 1 }] }),
    ]);
    const { stdout, exitCode } = await runCommand(runs, ['--reports', root]);
    expect(exitCode).toBe(0);
    expect(stdout.split('\n').map((line) => line.trimEnd())).toEqual([
      'run       started (UTC)     lamp      build  rig        verdict  claims       note',
      '02aaaaaa  2026-03-02 05:06  Alcove-6  1.4.2  simulated  ▲ fail   0 of 1 pass  1 seeded fault',
      '01aaaaaa  2026-03-01 05:06  Alcove-6  1.4.2  simulated  ● pass   1 of 1 pass',
      '',
    ]);
  });

  it('filters, and gives all of it as JSON', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1), runOf(2, { verdict: 'fail' }), runOf(3)]);
    const list = async (...args: string[]) =>
      JSON.parse((await runCommand(runs, ['--reports', root, '--json', ...args])).stdout).runs.map(
        ({ id }: { id: string }) => id.slice(0, 2),
      );
    expect(await list()).toEqual(['03', '02', '01']);
    expect(await list('--verdict', 'fail')).toEqual(['02']);
    expect(await list('--since', '2026-03-02')).toEqual(['03', '02']);
    expect(await list('--lamp', 'alcove-6', '--limit', '1')).toEqual(['03']);
    expect(await list('--build', '9')).toEqual([]);
  });

  it('follows the folders: a new run appears, a removed one goes, an unfinished one is finished', async () => {
    const root = scratch();
    const [first] = await archiveOf(root, [runOf(1), runOf(2)]);
    await runCommand(runs, ['--reports', root]);
    const manifest = join(
      root,
      readdirSync(root).find((name) => name.includes('02aa'))!,
      'manifest.json',
    );
    rmSync(first!, { recursive: true });
    await archiveOf(root, [runOf(3)]);
    const seal = readFileSync(manifest);
    rmSync(manifest);
    const rebuilt = await runCommand(runs, ['--reports', root, '--rebuild']);
    expect(rebuilt.stderr).toBe(`Indexed 2 runs in ${root}.\n`);
    expect(rebuilt.stdout).toMatch(/03aaaaaa.*\n02aaaaaa.*unfinished\n$/);
    writeFileSync(manifest, seal);
    const finished = await runCommand(runs, ['--reports', root]);
    expect(finished.stdout).not.toContain('unfinished');
  });

  it('shows a sign-off that the index was not told of', async () => {
    const root = scratch();
    const [path] = await archiveOf(root, [runOf(1)]);
    expect((await runCommand(runs, ['--reports', root])).stdout).not.toContain('signed');
    await sign(path!, newPerson('Mira'));
    expect((await runCommand(runs, ['--reports', root])).stdout).toContain('signed: release');
  });

  it('leaves out a folder that it cannot read, and says why', async () => {
    const root = scratch();
    const [path] = await archiveOf(root, [runOf(1), runOf(2)]);
    writeFileSync(join(path!, 'run.json'), '{}');
    const { stdout, stderr } = await runCommand(runs, ['--reports', root]);
    expect(stdout).toContain('02aaaaaa');
    expect(stderr).toContain('01aaaaaa/run.json is not a run record that can be read');
  });

  it('can be made again from an index that is no database', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1)]);
    writeFileSync(
      join(root, 'index.sqlite'),
      'not a database at all, but long enough to be read as one'.repeat(20),
    );
    const broken = await runCommand(runs, ['--reports', root]);
    expect(broken.exitCode).toBe(65);
    expect(broken.stderr).toContain('evenfall runs --rebuild');
    expect((await runCommand(runs, ['--reports', root, '--rebuild'])).stdout).toContain('01aaaaaa');
  });

  it('refuses an index of a later version and drops one of an earlier', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1)]);
    await runCommand(runs, ['--reports', root]);
    const set = (version: number) => {
      const index = new SqliteDatabase(join(root, 'index.sqlite'));
      index.exec(`PRAGMA user_version = ${version}`);
      index.close();
    };
    set(99);
    expect((await runCommand(runs, ['--reports', root])).stderr).toContain('a later Evenfall');
    set(0);
    expect((await runCommand(runs, ['--reports', root])).stdout).toContain('01aaaaaa');
  });

  it('says what to do in an archive that is empty or not there', async () => {
    const { stdout } = await runCommand(runs, ['--reports', join(scratch(), 'none')]);
    expect(stdout).toContain('evenfall run specs makes the first one');
  });

  it.each([
    [['--verdict', 'green'], 'expected one of error, fail, inconclusive, not run, pass'],
    [['--since', 'yesterday'], '--since: expected a date such as 2026-03-04 or an age'],
    [['--limit', '-1'], 'expected a whole number, found "-1"'],
    [['--keep', '3'], '--keep is for --prune: add --prune, or leave it out'],
    [['--older-than', '90 d'], '--older-than is for --prune'],
    [['--dry-run'], '--dry-run is for --prune'],
    [['--yes'], '--yes is for --prune'],
    [['--prune', '--keep', '1'], 'there is no terminal to ask on: add --yes'],
    [['--prune'], '--prune needs --keep N, --older-than AGE, or both'],
  ])('refuses %j', async (args, text) => {
    const refused = await runCommand(runs, ['--reports', scratch(), ...args]);
    expect(refused.exitCode).toBe(64);
    expect(refused.stderr).toContain(text);
  });

  it('prunes old runs, but never a signed one, nor one that a signed one follows', async () => {
    const root = scratch();
    const amended = runOf(2);
    const paths = await archiveOf(root, [
      runOf(1),
      amended,
      runOf(3, {}, { follows: [{ id: amended.id, how: 'amends' }] }),
      runOf(4),
      runOf(5),
    ]);
    await sign(paths[2]!, newPerson('Mira'));
    const would = await runCommand(runs, [
      '--reports',
      root,
      '--prune',
      '--keep',
      '1',
      '--dry-run',
    ]);
    expect(would.stderr).toMatch(
      /^Would remove 2 runs \(0\.\d MB\); signed ones stay:\n( {2}\S+\n){2}$/,
    );
    const pruned = await runCommand(runs, ['--reports', root, '--prune', '--keep', '1', '--yes']);
    expect(pruned.stderr).toBe('Removed 2 runs.\n');
    expect(readdirSync(root).filter((name) => !name.startsWith('index'))).toEqual(
      [paths[1], paths[2], paths[4]].map((path) => basename(path!)),
    );
    const young = await runCommand(runs, [
      '--reports',
      root,
      '--prune',
      '--older-than',
      '20000 w',
      '--yes',
    ]);
    expect(young.stderr).toBe('Removed 0 runs.\n');
  });

  it('is read in memory where the archive may not be written to', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1)]);
    chmodSync(root, 0o555);
    try {
      const { stdout } = await runCommand(runs, ['--reports', root]);
      expect(stdout).toContain('01aaaaaa');
    } finally {
      chmodSync(root, 0o755);
    }
  });
});

describe('evenfall compare', () => {
  async function pair() {
    const root = scratch();
    const chart: Finding['evidence']['charts'][number] = {
      kind: 'waveform',
      title: 'Light',
      x: { label: 'time', unit: 's', scale: 'linear' },
      y: { label: 'light', unit: 'lx', scale: 'linear' },
      lines: [{ name: 'light', role: 'measured', x: [0, 1, 2], y: [0, 5, 10] }],
      marks: [],
    };
    const evidence = { charts: [chart], notes: {} };
    const paths = await archiveOf(root, [
      runOf(1, { value: 2.01, evidence }),
      runOf(
        2,
        { value: 2.2, verdict: 'fail', reason: 'late', evidence },
        { lamp: { ...sampleRecord().lamp, build: '1.5.0' } },
      ),
    ]);
    return { root, paths };
  }

  it('tells what newly fails, how far it moved, and exits with 1', async () => {
    const { root } = await pair();
    const { stdout, exitCode } = await runCommand(compare, ['01aa', '02aa', '--reports', root]);
    expect(exitCode).toBe(1);
    expect(stdout).toBe(
      [
        'A  Alcove-6, build 1.4.2, 2026-03-01 05:06 UTC, run 01aaaaaa: ● pass',
        'B  Alcove-6, build 1.5.0, 2026-03-02 05:06 UTC, run 02aaaaaa: ▲ fail',
        'In each group the largest movement comes first, and at one size what got worse before what got',
        'better. Movement: B - A as a share of the tolerance, that is of half the way between its limits, or',
        'of the size of its only limit. Worse: less of the tolerance is left.',
        '',
        'newly failing: 1',
        '  190 %, worse  fade-on-time: Fade duration of warm, fade time 2 s',
        '      A 1.4.2: ● pass 2.010 ± 0.020 s; B 1.5.0: ▲ fail 2.200 ± 0.020 s; +0.19 s, allowed 1.9 s to',
        '      2.1 s',
        '',
      ].join('\n'),
    );
  });

  it('says the same from the records as from the index', async () => {
    const { root, paths } = await pair();
    const indexed = await runCommand(compare, ['01aa', '02aa', '--reports', root, '--json']);
    const direct = await runCommand(compare, [...paths, '--reports', scratch(), '--json']);
    expect(JSON.parse(direct.stdout)).toEqual(JSON.parse(indexed.stdout));
    expect(JSON.parse(direct.stdout).counts['newly failing']).toBe(1);
  });

  it('takes the name of a build for the newest run of it', async () => {
    const { root } = await pair();
    await archiveOf(root, [runOf(3, { value: 2.02 })]);
    const { stdout } = await runCommand(compare, ['1.5.0', '1.4.2', '--reports', root]);
    expect(stdout).toContain('A  Alcove-6, build 1.5.0, 2026-03-02 05:06 UTC, run 02aaaaaa');
    expect(stdout).toContain('B  Alcove-6, build 1.4.2, 2026-03-03 05:06 UTC, run 03aaaaaa');
  });

  it('takes a finished run of the build rather than a newer one in progress', async () => {
    const { root } = await pair();
    const [going] = await archiveOf(root, [runOf(3)]);
    rmSync(join(going!, 'manifest.json'));
    const { stdout } = await runCommand(compare, ['1.4.2', '1.5.0', '--reports', root]);
    expect(stdout).toContain('A  Alcove-6, build 1.4.2, 2026-03-01 05:06 UTC, run 01aaaaaa');
  });

  it('asks for the lamp where two have a build of that name', async () => {
    const { root } = await pair();
    const other = { lamp: { ...sampleRecord().lamp, name: 'Alcove-9' } };
    await archiveOf(root, [runOf(3, {}, other)]);
    const both = await runCommand(compare, ['1.4.2', 'latest', '--reports', root]);
    expect(both.exitCode).toBe(64);
    expect(both.stderr).toContain(
      'found "1.4.2" on 2 lamps: Alcove-6 (newest run 01aaaaaa), Alcove-9 (newest run 03aaaaaa). Choose one with --lamp NAME',
    );
    const chosen = ['1.4.2', '1.5.0', '--lamp', 'alcove-6', '--reports', root];
    expect((await runCommand(compare, chosen)).stdout).toContain('run 01aaaaaa');
    const none = await runCommand(compare, ['1.5.0', 'latest', '--lamp', 'x', '--reports', root]);
    expect(none.exitCode).toBe(66);
    expect(none.stderr).toContain('found runs of it on Alcove-6');
  });

  it('refuses to guess whether a build or a run is meant', async () => {
    const { root } = await pair();
    await archiveOf(root, [runOf(3, {}, { lamp: { ...sampleRecord().lamp, build: '01aaaaaa' } })]);
    const refused = await runCommand(compare, ['01aaaaaa', 'latest', '--reports', root]);
    expect(refused.exitCode).toBe(64);
    expect(refused.stderr).toMatch(
      /"01aaaaaa" is a run \(.*01aaaaaa\) and a build, whose newest run/,
    );
  });

  it('prints the page as a PDF', async () => {
    const { root } = await pair();
    const file = join(root, 'page.pdf');
    await runCommand(compare, ['01aa', '02aa', '--reports', root, '--pdf', file]);
    expect(readFileSync(file).subarray(0, 5).toString()).toBe('%PDF-');
  });

  it('exits with 0 the other way round, where the finding is fixed', async () => {
    const { root } = await pair();
    const { stdout, exitCode } = await runCommand(compare, ['latest', '01aa', '--reports', root]);
    expect(exitCode).toBe(0);
    expect(stdout).toContain('fixed: 1');
  });

  it('draws the curves of both runs into one picture of a page without any script', async () => {
    const { root } = await pair();
    const file = join(root, 'page.html');
    await runCommand(compare, ['01aa', '02aa', '--reports', root, '--page', file]);
    const page = readFileSync(file, 'utf8');
    expect(page).toContain('A light');
    expect(page).toContain('B light');
    expect(page).not.toMatch(/<script|https?:\/\/(?!www\.w3\.org)/);
  });

  it.each([
    ['9999', 66, 'expected a run or a build in'],
    [
      '1.5.1',
      66,
      'found none called "1.5.1"; did you mean "1.5.0"?; builds: 1.5.0, 1.4.2; evenfall runs',
    ],
    ['2026', 64, '2 runs fit "2026"'],
  ])('says which run %s it cannot find', async (name, exitCode, text) => {
    const { root } = await pair();
    const refused = await runCommand(compare, [name, 'latest', '--reports', root]);
    expect(refused).toMatchObject({ exitCode, stderr: expect.stringContaining(text) });
  });
});

describe('evenfall trend', () => {
  /** Twelve steady days, then a drift towards the upper limit of 2.1 s. */
  async function drifting() {
    const root = scratch();
    const values = [
      2, 2.01, 1.99, 2, 2.01, 1.99, 2, 2.01, 1.99, 2, 2.01, 1.99, 2, 2.01, 2.02, 2.03, 2.04, 2.05,
      2.06, 2.07,
    ];
    await archiveOf(
      root,
      values.map((value, index) => runOf(index + 1, { value })),
    );
    return root;
  }

  it('sees a drift before it fails, and says about when it will', async () => {
    const root = await drifting();
    const { stdout } = await runCommand(trend, ['fade-duration', '--reports', root]);
    expect(stdout).toContain('fade-on-time: Fade duration of warm, fade time 2 s; Alcove-6');
    expect(stdout).toContain('2026-03-01 … 2026-03-20, 20 runs');
    expect(stdout).toContain('last ● pass 2.070 ± 0.020 s, allowed 1.9 s to 2.1 s, build 1.4.2');
    expect(stdout).toMatch(/drift \+\d+ %, worse; 30 % left/);
    expect(stdout).toContain('▲ six in a row rising');
    expect(stdout).toContain('reaches its limit in about 3 more runs');
    expect(stdout).toMatch(/[▁▂▃▄▅▆▇█]{20}/);
  });

  /** Six days of three claims: one steady, one that drifts by 40 % of its tolerance, one by 10 % to the better. */
  async function threeClaims() {
    const root = scratch();
    const days = [0, 1, 2, 3, 4, 5].map((day) => {
      const of = (spec: string, value: number, metric = 'fade-duration') =>
        sampleSpec(spec, [
          sampleCondition({ findings: [sampleFinding({ metric, value, expanded: 0.001 })] }),
        ]);
      const specs = [
        of('steady', 2),
        of('better', 2.05 - 0.002 * day),
        of('worse', 2 + 0.008 * day),
        of('other-metric', 2 + 0.012 * day, 'fade-delay'),
      ];
      return runOf(day + 1, {}, { specs });
    });
    await archiveOf(root, days);
    return root;
  }

  it('tells a line a claim, the largest drift first, and as many series in full as asked', async () => {
    const root = await threeClaims();
    const args = ['fade-duration', '--reports', root, '--top', '2'];
    const { stdout } = await runCommand(trend, args);
    const [head, ...rest] = stdout.split('\n');
    expect(head).toMatch(/^drift +margin +now +runs +claim, lamp \(series\)$/);
    expect(rest.slice(0, 3)).toEqual([
      '+40 %, worse   60 % left   ● pass 2.0400 ± 0.0010 s  ▁▂▄▅▇█  worse, Alcove-6 (1)',
      '−10 %, better  60 % left   ● pass 2.0400 ± 0.0010 s  █▇▅▄▂▁  better, Alcove-6 (1)',
      '0 %            100 % left  ● pass 2.0000 ± 0.0010 s  ▄▄▄▄▄▄  steady, Alcove-6 (1)',
    ]);
    const told = [...stdout.matchAll(/^([a-z]+): Fade duration/gm)].map(([, spec]) => spec);
    expect(told).toEqual(['worse', 'better']);
    expect(stdout).toContain('1 more series drift less; --top 3 tells of all.');
  });

  it('tells how far a failing value lies beyond its limit', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1, { value: 2.19, verdict: 'fail', reason: 'late' })]);
    const { stdout } = await runCommand(trend, ['fade-duration', '--reports', root]);
    expect(stdout).toMatch(/^too few runs {2}90 % beyond {2}▲ fail 2.190/m);
  });

  it('tells a line a metric where none is named', async () => {
    const { stdout, exitCode } = await runCommand(trend, ['--reports', await threeClaims()]);
    expect(exitCode).toBe(0);
    const lines = stdout.split('\n').slice(1, 3);
    expect(lines[0]).toMatch(/^\+60 %, worse .*fade-delay, Alcove-6 \(1\)$/);
    expect(lines[1]).toMatch(/^\+40 %, worse .*fade-duration, Alcove-6 \(3\)$/);
  });

  it('says that there is nothing yet where the archive is empty', async () => {
    const { exitCode, stderr } = await runCommand(trend, ['--reports', scratch()]);
    expect(exitCode).toBe(66);
    expect(stderr).toContain('the archive holds no findings yet');
  });

  it('gives every point as CSV with the unit beside it', async () => {
    const root = await drifting();
    const { stdout } = await runCommand(trend, [
      'fade-duration',
      '--reports',
      root,
      '--csv',
      '--last',
      '2',
    ]);
    expect(stdout.split('\r\n')).toEqual([
      'started,run,lamp,build,metric,spec,condition,repeat,of,during,unit,value,expanded_uncertainty,lower_limit,upper_limit,verdict',
      '2026-03-19T05:06:07Z,19aaaaaa77de4a5c0b1d,Alcove-6,1.4.2,fade-duration,fade-on-time,fade-time=2 s,0,warm,,s,2.06,0.02,1.9,2.1,pass',
      '2026-03-20T05:06:07Z,20aaaaaa77de4a5c0b1d,Alcove-6,1.4.2,fade-duration,fade-on-time,fade-time=2 s,0,warm,,s,2.07,0.02,1.9,2.1,pass',
      '',
    ]);
  });

  it('gives print the newest values as OpenMetrics text', async () => {
    const root = await drifting();
    const { stdout } = await runCommand(trend, [
      'fade-duration',
      '--reports',
      root,
      '--openmetrics',
    ]);
    expect(stdout).toContain(
      '# TYPE evenfall_fade_duration_seconds gauge\n# UNIT evenfall_fade_duration_seconds seconds\n',
    );
    expect(stdout).toMatch(/^evenfall_fade_duration_seconds\{lamp="Alcove-6".*\} 2\.07$/m);
    expect(stdout).toMatch(/^evenfall_run_start_seconds\{.*\} 1773983167$/m);
    expect(stdout.endsWith('\n# EOF\n')).toBe(true);
  });

  it('leaves out runs with a seeded fault unless asked for', async () => {
    const root = scratch();
    await archiveOf(root, [
      runOf(1),
      runOf(2, { value: 9 }, { faults: [{ fault: 'x', size: 1 }] }),
    ]);
    const points = async (...args: string[]) =>
      JSON.parse(
        (await runCommand(trend, ['fade-duration', '--reports', root, '--json', ...args])).stdout,
      ).trends[0].measured.length;
    expect(await points()).toBe(1);
    expect(await points('--with-faults')).toBe(2);
  });

  it('lists the claims that passed and failed on one build', async () => {
    const root = scratch();
    await archiveOf(root, [
      runOf(1),
      runOf(2, { verdict: 'fail' }),
      runOf(3),
      runOf(4, {}, { seed: 4 }),
    ]);
    const { stdout } = await runCommand(trend, ['--flaky', '--reports', root]);
    expect(stdout).toBe(
      'fade-on-time: 3 passed, 1 failed in 4 runs of Alcove-6 1.4.2 on simulated; the verdict changed 2 times\n',
    );
  });

  it('calls nothing flaky that changed with the build', async () => {
    const root = scratch();
    const next = { lamp: { ...sampleRecord().lamp, build: '2.0' } };
    await archiveOf(root, [runOf(1), runOf(2, { verdict: 'fail' }, next)]);
    const { stdout } = await runCommand(trend, ['--flaky', '--reports', root]);
    expect(stdout).toBe('No claim both passed and failed on one build, lamp and rig.\n');
  });

  it('helps with a metric that has no findings', async () => {
    const root = scratch();
    await archiveOf(root, [runOf(1)]);
    const refused = await runCommand(trend, ['fade-duratoin', '--reports', root]);
    expect(refused.exitCode).toBe(66);
    expect(refused.stderr).toContain('did you mean "fade-duration"?');
  });
});
