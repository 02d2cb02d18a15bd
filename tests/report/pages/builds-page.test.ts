import { describe, expect, it } from 'vitest';
import type { BrokenClaim, BuildTable, TableRun } from '../../../harness/record/build-table.ts';
import { html } from '../../../harness/report/html/html.ts';
import { type BuildsSheet, buildsPage } from '../../../harness/report/pages/lab/builds-page.ts';

const hostile = '<img src=x onerror="alert(1)">';

function run(folder: string, verdict: TableRun['verdict']): TableRun {
  const claims = verdict === 'pass' ? { pass: 27, 'not applicable': 3 } : { pass: 26, fail: 1 };
  const started = '2026-11-24T18:03:00Z';
  return { id: `${folder}aaaaaaaaaaaa`, folder, started, rig: 'rig 3', verdict, claims };
}

function on(build: string, folder: string, passed: number, failed: number) {
  const { id, started } = run(folder, 'fail');
  return { build, passed, failed, run: { id, folder, started } };
}

const fade: BrokenClaim = {
  ...{ lamp: 'Alcove-6', simulated: true, spec: 'fades-on-time' },
  now: on('1.3', 'run-3', 0, 1),
  firstBad: on('1.2', 'run-2', 0, 2),
  lastGood: on('1.0', 'run-0', 3, 0),
  ...{ between: 1, changed: [], lookedAt: 4 },
};

const table: BuildTable = {
  lamps: [
    { lamp: 'Alcove-6', simulated: false },
    { lamp: 'Alcove-6', simulated: true },
  ],
  builds: [
    {
      ...{ build: '1.3', first: '2026-11-24T18:03:00Z' },
      cells: [null, { newest: run('run-3', 'fail'), runs: 2 }],
    },
    {
      ...{ build: '1.0', first: '2026-11-20T18:03:00Z' },
      cells: [
        { newest: null, runs: 1 },
        { newest: run('run-0', 'pass'), runs: 1 },
      ],
    },
  ],
  order: 'versions',
  older: 12,
  broken: [fade],
};

function pageOf(over: Partial<BuildsSheet> = {}): string {
  return String(html`${buildsPage({ table, flaky: [], altered: new Map(), ...over })}`);
}

/** As it reads: without markup. */
function wordsOf(page: string): string {
  return page
    .replace(/<svg.*?<\/svg>/g, '')
    .replace(/<[^>]*>/g, '|')
    .replace(/[\s|]*\|[\s|]*/g, '|');
}

/** The same with nothing between. */
function textOf(page: string): string {
  return page.replace(/<[^>]*>/g, '');
}

describe('the table of builds and lamps', () => {
  const page = pageOf();
  const words = wordsOf(page);

  it('has a column a lamp, the simulated one by itself, and a row a build', () => {
    expect(words).toContain('|build|Alcove-6|Alcove-6 (simulated)|');
    expect(words).toMatch(
      /\|1\.3\|since 2026-11-24\|no run\|fail\|26 of 27 claims hold\|2026-11-24, 2 runs\|1\.0\|/,
    );
    expect(page.match(/<th scope="row">/g)).toHaveLength(2);
  });

  it('leads from each verdict to its run, and leaves out what does not apply to the lamp', () => {
    expect(page).toContain('<a href="/runs/run-3">26 of 27 claims hold</a>');
    expect(page).toContain('<a href="/runs/run-0">27 of 27 claims hold</a>');
  });

  it('has no verdict where claims were only run by name', () => {
    expect(words).toContain('|1.0|since 2026-11-20|claims by name only, 1 run|pass|');
  });

  it('says how many builds it leaves out', () => {
    expect(textOf(page)).toContain('12 older builds left out: see the list of runs.');
    expect(page).not.toContain('&lt;');
    expect(wordsOf(pageOf({ table: { ...table, older: 0 } }))).not.toContain('left out');
  });

  it('says what makes a build newer than another', () => {
    expect(textOf(page)).toContain('Newest builds first, by their versions. Runs count');
    const byRuns = { ...table, order: 'first runs' } as const;
    expect(textOf(pageOf({ table: byRuns }))).toContain('by the first whole run of each, as their');
  });

  it('says how to begin where there is no build', () => {
    const none = { ...table, lamps: [], builds: [], broken: [] };
    expect(wordsOf(pageOf({ table: none }))).toContain('No build has a complete, sealed run yet.');
  });
});

describe('what broke', () => {
  it('is told with the last build that passed, the first that failed, and where to compare them', () => {
    const page = pageOf();
    const words = textOf(page);
    expect(words).toContain('Build 1.0 passed, build 1.2 failed, on Alcove-6 (simulated)');
    expect(words).toContain(
      'fades-on-time: passed in run run-0aaa of 24 November 2026, 18:03 UTC, failed in run run-2aaa of 24 November 2026, 18:03 UTC; compare.',
    );
    expect(words).toContain(' It still fails on build 1.3, run run-3aaa of');
    expect(words).toContain(' 1 build in between did not decide it.');
    expect(page).toContain('href="/compare?a=run-0&amp;b=run-2"');
  });

  it('is one row for all claims that broke between the same builds', () => {
    const dim = { ...fade, spec: 'dims-deep' };
    const mix = { ...fade, spec: 'mixes', lastGood: on('1.1', 'run-1', 1, 0), between: 0 };
    const page = pageOf({ table: { ...table, broken: [fade, dim, mix] } });
    expect(page.match(/<li class="row">/g)).toHaveLength(2);
    expect(page.indexOf('dims-deep')).toBeLessThan(page.indexOf('Build 1.1 passed'));
  });

  it('is not said to have passed where no build did that was looked at', () => {
    const never = { ...fade, lastGood: null, between: 0 };
    const words = (claim: BrokenClaim) => textOf(pageOf({ table: { ...table, broken: [claim] } }));
    expect(words(never)).toContain('First seen to fail on build 1.2: none of 4 builds passed, on');
    expect(words(never)).toContain('fades-on-time: failed in run run-2aaa');
    expect(words(never)).not.toContain('compare');
    expect(words({ ...never, lookedAt: 1 })).toContain('the only build did not pass');
  });

  it('warns where not the build alone changed, or where it came out both ways', () => {
    const doubtful = {
      ...fade,
      changed: ['spec', 'rig', 'lamp'],
      firstBad: on('1.2', 'run-2', 2, 3),
    };
    const words = wordsOf(pageOf({ table: { ...table, broken: [doubtful as BrokenClaim] } }));
    expect(words).toContain('The spec changed too. The rig was another. The lamp was another');
    expect(words).toContain('On build 1.2 it came out both ways: 2 passed, 3 failed.');
  });

  it('is nothing where all holds', () => {
    const words = wordsOf(pageOf({ table: { ...table, broken: [] } }));
    expect(words).toContain('No claim fails on the newest build that decided it.');
  });
});

it('flaky claims are told with their rate', () => {
  const flaky = {
    ...{ spec: 'fades', lamp: 'Alcove-6', build: '1.0', rig: 'rig 3' },
    ...{ runs: 12, passed: 9, failed: 3, turns: 5, last: '2026-11-24T18:03:00Z' },
  };
  expect(textOf(pageOf({ flaky: [flaky] }))).toContain(
    'fades fails in 25 % of its runs: 9 passed, 3 failed in 12 runs of Alcove-6 1.0 on rig 3; the verdict changed 5 times.',
  );
});

it('a run that was altered has no verdict, and what rests on it is not told', () => {
  const problems = [{ file: 'run.json', text: 'was altered' }];
  const altered = new Map([['run-0', { state: 'altered' as const, problems }]]);
  const page = pageOf({ altered });
  expect(wordsOf(page)).toContain(
    'Left out:|run-0|, altered since it was sealed: run.json was altered',
  );
  expect(wordsOf(page)).toContain('|▲ altered|run run-0aaa|');
  expect(page).not.toContain('27 of 27');
  expect(page).not.toContain('fades-on-time');
});

it('words of strangers stay words', () => {
  const [first] = table.builds;
  const strange: BuildTable = {
    ...table,
    lamps: table.lamps.map((lamp) => ({ ...lamp, lamp: hostile })),
    builds: [{ ...first!, build: hostile }],
    broken: [
      { ...fade, lamp: hostile, spec: hostile, firstBad: { ...fade.firstBad, build: hostile } },
    ],
  };
  expect(pageOf({ table: strange })).not.toContain('<img');
});
