import { expect, it } from 'vitest';
import { LampFailure } from '../../../harness/bench/errors.ts';
import type { LampLink, SelfReport, Unsaid } from '../../../harness/bench/ports.ts';
import { CommandedLight } from '../../../harness/plan/commanded.ts';
import type { ReportExpectation } from '../../../harness/plan/report-expectation.ts';
import { askLamp } from '../../../harness/run/condition/self-reports.ts';
import { reportFinding } from '../../../harness/run/judge/report-finding.ts';
import { alcove } from '../../drivers/plant/firmware/alcove.ts';

const decision = { rule: 'guarded', coverageFactor: 2 } as const;
const call = { signal: new AbortController().signal, deadline: 1 };

/** Findings on a counter of seconds that says these, asked at 10 s and later, lit for 4 s in between. */
async function findings(
  says: readonly (SelfReport | Unsaid)[],
  expect: Pick<ReportExpectation, 'against' | 'value' | 'tolerance'>,
) {
  const light = new CommandedLight(alcove);
  light.set(11, { level: 1, intensities: { warm: 1 } });
  light.set(15, { level: 0, intensities: { warm: 1 } });
  const asking = { light, zero: 100, selfReports: [], saidOfItself: [] };
  for (const [index, said] of says.entries()) {
    const port = { name: 'dali', ask: async () => said } as unknown as LampLink;
    const expected: ReportExpectation = {
      ...expect,
      relative: false,
      dimension: 'time',
      text: 'x',
    };
    const question = { property: 'light-on-time', ...(index > 0 && { expect: expected }) } as const;
    await askLamp(question, { port, call }, asking);
  }
  return asking.saidOfItself.map((said) => reportFinding(said, decision));
}

const said = (value: number, at: number): SelfReport => ({
  value,
  resolution: 1,
  from: 100 + at,
  to: 100 + at,
});

it.each([
  // Lit for 4 s; two whole seconds are known to √2/√12 s, twice that is 0.82 s (JCGM 100:2008, 4.3.7).
  [4, 'pass'],
  [5, 'pass'],
  [6, 'inconclusive'],
  [10, 'fail'],
  [0, 'fail'],
])('a counter that says %s s more of 4 s of light, within 2 s: %s', async (more, verdict) => {
  const [finding] = await findings([said(7, 10), said(7 + more, 20)], {
    against: 'lit-time',
    value: 0,
    tolerance: 2,
  });
  expect(finding).toMatchObject({
    verdict,
    outcome: { value: more },
    limits: { target: 4, lower: 2, upper: 6 },
    uncertainty: { expanded: expect.closeTo(0.8165, 3) },
  });
});

it('elapsed is the time between the two answers', async () => {
  const expected = { against: 'elapsed', value: 0, tolerance: 2 } as const;
  const [finding] = await findings([said(7, 10), said(17, 20)], expected);
  expect(finding).toMatchObject({ verdict: 'pass', limits: { target: 10 } });
});

it('a figure without a tolerance is met exactly or not', async () => {
  const expected = { against: 'before', value: 3, tolerance: 0 } as const;
  expect(await findings([said(7, 10), said(10, 20)], expected)).toMatchObject([
    { verdict: 'pass' },
  ]);
  expect(await findings([said(7, 10), said(11, 20)], expected)).toMatchObject([
    { verdict: 'fail' },
  ]);
});

it('a lamp that says it has no such thing fails by its own words', async () => {
  const expected = { against: 'value', value: 3, tolerance: 0 } as const;
  const [finding] = await findings([said(7, 10), { refused: 'has no bank 206' }], expected);
  expect(finding).toMatchObject({
    verdict: 'fail',
    reason: 'asked for its light-on-time, the lamp has no bank 206',
  });
});

it('a lamp that is asked for a metric’s sake, and says it has no such thing, fails as well', async () => {
  const expected = { against: 'value', value: 3, tolerance: 0 } as const;
  const refused = findings([{ refused: 'has no bank 206' }], expected);
  await expect(refused).rejects.toBeInstanceOf(LampFailure);
  await expect(refused).rejects.toThrow('asked for its light-on-time, it has no bank 206');
});
