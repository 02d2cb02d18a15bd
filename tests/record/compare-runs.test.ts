import { describe, expect, it } from 'vitest';
import { compareRuns, largestFirst } from '../../harness/record/compare-runs.ts';
import { findingLines } from '../../harness/record/finding-line.ts';
import type { Finding, RunRecord } from '../../harness/record/run-record.ts';
import { sampleCondition, sampleFinding, sampleRecord, sampleSpec } from './sample-record.ts';

function linesOf(record: RunRecord) {
  return {
    claims: record.specs.map(({ spec, verdict }) => ({ spec, verdict })),
    findings: findingLines(record),
  };
}

function runWith(...findings: Finding[]) {
  return linesOf(sampleRecord({ specs: [sampleSpec('a', [sampleCondition({ findings })])] }));
}

const notRun = linesOf(sampleRecord({ specs: [sampleSpec('a', [])] }));
const beside = linesOf(
  sampleRecord({ specs: [sampleSpec('a', [], { verdict: 'not applicable' })] }),
);
const inError = linesOf(sampleRecord({ specs: [sampleSpec('a', [], { verdict: 'error' })] }));
const good = sampleFinding({ value: 2, expanded: 0.03 });
const bad = sampleFinding({ value: 2.2, expanded: 0.03, verdict: 'fail' });

function change(a: ReturnType<typeof runWith>, b: ReturnType<typeof runWith>) {
  const compared = compareRuns(a, b);
  expect(compared).toHaveLength(1);
  return compared[0]!;
}

describe('a finding of two runs', () => {
  it.each([
    ['unchanged', good, good],
    ['moved within uncertainty', good, sampleFinding({ value: 2.04, expanded: 0.03 })],
    ['moved beyond uncertainty', good, sampleFinding({ value: 2.05, expanded: 0.03 })],
    ['newly failing', good, bad],
    ['fixed', bad, good],
    ['newly inconclusive', good, sampleFinding({ verdict: 'inconclusive' })],
    ['newly in error', good, sampleFinding({ verdict: 'error' })],
    ['newly not run', good, sampleFinding({ verdict: 'not run' })],
    ['newly run', sampleFinding({ verdict: 'not run' }), good],
  ])('is %s', (expected, a, b) => {
    expect(change(runWith(a), runWith(b)).change).toBe(expected);
  });

  it('moves beyond its uncertainty when that is the root of both squares: 3, 4, 5', () => {
    const at = (value: number, expanded: number) => runWith(sampleFinding({ value, expanded }));
    expect(change(at(0, 3), at(5, 4))).toMatchObject({
      change: 'moved within uncertainty',
      difference: 5,
      differenceExpanded: 5,
    });
    expect(change(at(0, 3), at(5.001, 4)).change).toBe('moved beyond uncertainty');
  });

  it('never calls a movement meaningless when the uncertainty is not known', () => {
    const bare = (value: number) => runWith({ ...sampleFinding({ value }), uncertainty: null });
    expect(change(bare(2), bare(2.0001))).toMatchObject({
      change: 'moved beyond uncertainty',
      movement: 'not known',
    });
  });

  const without = { claims: [{ spec: 'a', verdict: 'pass' as const }], findings: [] };
  it.each([
    ['appeared', without, runWith(good)],
    ['newly failing', without, runWith(bad)],
    ['vanished', runWith(good), without],
    ['newly not run', runWith(good), notRun],
    ['newly in error', runWith(good), inError],
    ['newly run', notRun, runWith(good)],
    ['newly run', { claims: [], findings: [] }, runWith(good)],
    ['newly not run', runWith(good), { claims: [], findings: [] }],
    ['newly failing', notRun, runWith(bad)],
    ['no longer applicable', runWith(good), beside],
    ['newly applicable', beside, runWith(good)],
  ])('is %s when one run lacks it', (expected, a, b) => {
    expect(change(a, b).change).toBe(expected);
  });

  it('says when the tolerance is not the same any more', () => {
    const limits = { ...good.limits, upper: 2.02 };
    expect(change(runWith(good), runWith({ ...good, limits }))).toMatchObject({
      change: 'unchanged',
      limitsChanged: true,
    });
  });

  it('is matched with its own kind when one metric is held against two limits', () => {
    const two = runWith(good, sampleFinding({ value: 5 }));
    expect(compareRuns(two, two).map(({ change }) => change)).toEqual(['unchanged', 'unchanged']);
    const [first, second] = two.findings;
    expect([first!.ordinal, second!.ordinal]).toEqual([0, 1]);
  });

  it('is in neither list when both runs are empty', () => {
    expect(compareRuns(runWith(), runWith())).toEqual([]);
  });
});

describe('how far a finding moved', () => {
  const two = { lower: 1.9, upper: 2.1, target: 2, text: '2 s ± 5 %' };
  const moved = (from: number, to: number, limits: Finding['limits'] = two) =>
    change(
      runWith(sampleFinding({ value: from, limits })),
      runWith(sampleFinding({ value: to, limits })),
    );

  it('is told as a share of half the way between the limits, or of the size of the only one', () => {
    expect(moved(2, 2.05).share).toBeCloseTo(0.5, 12);
    expect(moved(2.05, 2).share).toBeCloseTo(0.5, 12);
    expect(moved(2, 3, { ...two, lower: null, upper: 4 }).share).toBe(0.25);
    expect(moved(2, 3, { ...two, lower: 4, upper: null }).share).toBe(0.25);
  });

  it('has no share of a tolerance without a width', () => {
    const exact = { lower: 1, upper: 1, target: 1, text: '1' };
    expect(moved(1, 2, exact)).toMatchObject({ share: null, course: 'worse' });
    expect(
      moved(1, 2, { lower: null, upper: 0, target: null, text: 'at most 0' }).share,
    ).toBeNull();
    expect(moved(1, 2, { lower: null, upper: null, target: null, text: '' })).toMatchObject({
      share: null,
      course: null,
    });
  });

  it.each([
    ['worse', 2.01, 2.05],
    ['worse', 2.01, 1.95],
    ['better', 2.05, 2.01],
    ['better', 2.3, 2.2],
    ['level', 1.95, 2.05],
  ])('is %s from %d to %d', (course, from, to) => {
    expect(moved(from, to).course).toBe(course);
  });

  it('orders findings: the largest share first, worse before better, what is absent at the end', () => {
    const exact = { lower: 1, upper: 1, target: 1, text: '1' };
    const of = (name: string, value: number, limits = two) =>
      sampleFinding({ of: name, value, limits });
    const before = [
      of('small', 2),
      of('better', 2.0625),
      of('worse', 2),
      of('count', 1, exact),
      of('gone', 2),
    ];
    const after = [of('small', 2.01), of('better', 2), of('worse', 2.0625), of('count', 2, exact)];
    const compared = compareRuns(runWith(...before), runWith(...after));
    expect(largestFirst(compared).map(({ a }) => a?.of)).toEqual([
      'count',
      'worse',
      'better',
      'small',
      'gone',
    ]);
  });
});
