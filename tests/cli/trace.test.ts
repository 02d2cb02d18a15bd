import { readFileSync, writeFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { register } from '../../harness/cli/authoring/trace.ts';
import type { RunRecord, SpecRecord } from '../../harness/record/run-record.ts';
import { archiveOf } from '../archive/archive-of.ts';
import { launchChromium } from '../browser/chromium.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { evenfall } from './program.ts';
import { runCommand } from './run-command.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const requirements = `id,text
REQ-1,It dims as commanded
REQ-2,It dims on every channel
REQ-3,It never flickers
REQ-4,It floats
`;

/** Two claims for REQ-1, one of which fails; one for REQ-2; REQ-3 has a claim that was not run; REQ-4 has none. */
const files = {
  'requirements.csv': requirements,
  'specs/good.spec.yaml': dimmingSpec('good', ['50 %']).replace('[REQ-1]', '[REQ-1, REQ-2]'),
  'specs/bad.spec.yaml': dimmingSpec('bad', ['50 %']).replaceAll('target: $level', 'target: 5 %'),
};
const later = dimmingSpec('later', ['50 %']).replace('[REQ-1]', '[REQ-3]');

let cwd: string;
beforeAll(async () => {
  cwd = desk(files);
  await evenfall(['run', 'specs', '--jobs', '1'], { cwd });
  // A claim that was written after the run.
  writeFileSync(`${cwd}/specs/later.spec.yaml`, later);
});

const trace = (...more: string[]) =>
  evenfall(['trace', 'specs', '--requirements', 'requirements.csv', ...more], { cwd });

interface ToldClaim {
  readonly spec: string;
  readonly verdict: string | null;
  readonly margin: number | null;
  readonly run: string | null;
  readonly isOlder: boolean | null;
  readonly isChanged: boolean | null;
}
interface ToldRequirement {
  readonly id: string;
  readonly verdict: string | null;
  readonly claims: readonly ToldClaim[];
}

describe('evenfall trace over a stored run', () => {
  it('tells of each requirement the worst verdict of its claims', async () => {
    const { exitCode, stdout } = await trace('--json');
    const { runs, build, requirements: traced } = JSON.parse(stdout);
    const { id, startedAt, lamp } = recordIn(runsIn(cwd)[0]!);
    expect(runs).toEqual([{ id, started: startedAt }]);
    expect(build).toBe(lamp.build);
    const told = traced.map((one: ToldRequirement) => [
      one.id,
      one.verdict,
      Object.fromEntries(one.claims.map(({ spec, verdict }) => [spec, verdict])),
    ]);
    expect(told).toEqual([
      ['REQ-1', 'fail', { bad: 'fail', good: 'pass' }],
      ['REQ-2', 'pass', { good: 'pass' }],
      ['REQ-3', null, { later: null }],
      ['REQ-4', null, {}],
    ]);
    expect(exitCode).toBe(1);
  });

  it('says first what is missing, then each claim with its verdict, margin and run', async () => {
    const { stdout } = await trace();
    const { id, startedAt } = recordIn(runsIn(cwd)[0]!);
    expect(stdout).toMatch(/^no claim covers REQ-4: It floats\n1 claim never ran: later\n\n/);
    expect(stdout).toMatch(/3 of 4 requirements are covered; verdicts of alcove-6, build /);
    const run = `${id.slice(0, 8)}, ${startedAt.slice(0, 10)}`;
    expect(stdout).toMatch(new RegExp(`▲ fail +\\d+ [%×] beyond +bad +${run}`));
    expect(stdout).toMatch(new RegExp(`● pass +\\d+ % left +good +${run}`));
    expect(stdout).toMatch(/- not run +later/);
  });

  it('can be asked about a run by its id', async () => {
    const { id } = recordIn(runsIn(cwd)[0]!);
    expect(JSON.parse((await trace('--json', '--run', id)).stdout).runs[0].id).toBe(id);
    const { exitCode, stderr } = await trace('--run', 'ffff');
    expect(exitCode).toBe(66);
    expect(stderr).toContain('found none called "ffff"');
  });
});

describe('evenfall trace over many runs', () => {
  /** A run of day `day` with the given claims; `margin` of the tolerance is left. */
  function runOf(day: number, build: string, specs: SpecRecord[], over: Partial<RunRecord> = {}) {
    const dd = String(day).padStart(2, '0');
    const { lamp } = sampleRecord();
    return sampleRecord({
      id: `${dd}aaaaaa77de4a5c0b1d`,
      startedAt: `2026-03-${dd}T05:06:07Z`,
      lamp: { ...lamp, name: 'alcove-6', build },
      specs,
      ...over,
    });
  }
  const claim = (spec: string, value: number, verdict: 'pass' | 'fail' = 'pass') =>
    sampleSpec(spec, [
      sampleCondition({
        findings: [sampleFinding({ value, verdict, reason: verdict === 'pass' ? null : 'late' })],
      }),
    ]);
  const notRun = (spec: string) => sampleSpec(spec, [], { verdict: 'not run', reason: 'no link' });

  let many: string;
  beforeAll(async () => {
    many = desk({ ...files, 'specs/later.spec.yaml': later });
    await archiveOf(`${many}/reports`, [
      runOf(1, '1.6', [claim('good', 2.05), claim('bad', 2), claim('later', 2.01)]),
      runOf(2, '1.7', [claim('good', 2.05), claim('bad', 2)]),
      runOf(3, '1.7', [claim('bad', 2.2, 'fail'), notRun('good')]),
      runOf(4, '1.7', [claim('good', 9, 'fail')], { faults: [{ fault: 'x', size: 1 }] }),
      runOf(5, '1.7', [claim('good', 9, 'fail')], {
        lamp: { ...sampleRecord().lamp, name: 'alcove-9', build: '1.7' },
      }),
    ]);
  });
  const over = (...more: string[]) =>
    runCommand(
      register,
      [
        'specs',
        '--requirements',
        'requirements.csv',
        '--lamp',
        alcove,
        '--reports',
        `${many}/reports`,
        ...more,
      ],
      { cwd: many },
    );
  const alcove = `${import.meta.dirname}/../../specs/lamps/alcove-6.lamp.yaml`;
  const claimsIn = (stdout: string): Record<string, ToldClaim> => {
    const told: ToldRequirement[] = JSON.parse(stdout).requirements;
    return Object.fromEntries(told.flatMap(({ claims }) => claims.map((one) => [one.spec, one])));
  };

  it('adds up runs of parts: the newest run of each claim on the build counts, an older one is told as older', async () => {
    const { stdout } = await over('--json');
    const { good, bad } = claimsIn(stdout);
    expect(JSON.parse(stdout).build).toBe('1.7');
    expect(good).toMatchObject({ verdict: 'pass', isOlder: true, isChanged: true });
    expect(good?.run).toMatch(/^02aa/);
    expect(good?.margin).toBeCloseTo(0.5, 9);
    expect(bad).toMatchObject({ verdict: 'fail', isOlder: false });
    expect(bad?.run).toMatch(/^03aa/);
    expect(bad?.margin).toBeCloseTo(-1, 9);
    const text = (await over()).stdout;
    expect(text).toMatch(
      /● pass +50 % left +good +02aaaaaa, 2026-03-02 \(older run, spec changed since\)/,
    );
    expect(text).toMatch(/▲ fail +100 % beyond +bad +03aaaaaa, 2026-03-03 \(spec changed since\)/);
    expect(text).toMatch(
      /of each claim its newest of 2 runs\s+from 2026-03-02 05:06 to 2026-03-03 05:06 UTC; 1 claim/,
    );
  });

  it('tells of a claim that never ran on the build which older build it ran on', async () => {
    const { stdout } = await over();
    expect(stdout).toContain(
      'later never ran on this build; older: ● pass on build 1.6, 2026-03-01\n',
    );
    expect(claimsIn((await over('--json')).stdout)['later']?.verdict).toBeNull();
  });

  it('can be asked for another build, and for runs with seeded faults', async () => {
    const older = claimsIn((await over('--json', '--build', '1.6')).stdout);
    expect(older['later']?.verdict).toBe('pass');
    expect(older['bad']?.verdict).toBe('pass');
    const seeded = claimsIn((await over('--json', '--with-faults')).stdout);
    expect(seeded['good']).toMatchObject({ verdict: 'fail', isOlder: false });
  });

  it('says which builds there are where it is asked for none of them', async () => {
    const { exitCode, stderr } = await over('--build', '1.8');
    expect(exitCode).toBe(66);
    expect(stderr).toContain('"1.8" of alcove-6');
    expect(stderr).toContain('did you mean "1.7"?; builds with one: 1.7, 1.6');
    expect((await over('--build', '1.7', '--run', 'latest')).exitCode).toBe(64);
  });

  it('leaves an altered run out, counts the one before it, and ends with 77', async () => {
    const altered = desk(files);
    const paths = await archiveOf(`${altered}/reports`, [
      runOf(1, '1.7', [claim('good', 2), claim('bad', 2)]),
      runOf(2, '1.7', [claim('good', 2), claim('bad', 2)]),
    ]);
    const file = `${paths[1]}/run.json`;
    writeFileSync(file, readFileSync(file, 'utf8').replace('"seed":1', '"seed":2'));
    const { exitCode, stdout, stderr } = await over('--reports', `${altered}/reports`, '--json');
    expect(exitCode).toBe(77);
    expect(stderr).toContain('left out: 2026-03-02');
    expect(claimsIn(stdout)['good']?.run).toMatch(/^01aa/);
  });

  it('writes a page with the matrix that fits a phone and asks for nothing', async () => {
    const file = `${many}/matrix.html`;
    await over('--page', file);
    const browser = await launchChromium();
    try {
      const page = await browser.newPage({ viewport: { width: 390, height: 800 } });
      await page.goto(`file://${file}`);
      expect(await page.locator('.gaps li').first().textContent()).toBe(
        '▲ No claim covers REQ-4: It floats.',
      );
      const row = page.locator('.matrix tr', { hasText: 'good' }).first();
      expect(await row.locator('.verdict').last().textContent()).toBe('pass');
      expect(await row.textContent()).toContain('50\u00a0%\u00a0left');
      expect(await row.textContent()).toContain('02aaaaaa, 2026-03-02 (older run');
      const overflow = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow).toBeLessThanOrEqual(0);
    } finally {
      await browser.close();
    }
  });
});
