import { describe, expect, test } from 'vitest';
import type { Finding, RunRecord } from '../../../harness/record/run-record.ts';
import { xsOf } from '../../../harness/report/pages/run/page-data.ts';
import { renderPage } from '../../../harness/report/pages/run/run-page.ts';
import { storedEvidence } from '../../../harness/report/pages/run/stored-evidence.ts';
import { traceIntervals } from '../../../harness/report/pages/run/trace.ts';
import { bigRecord, bigTraces } from '../big-record.ts';
import { sampleRecord, sampleTraces } from '../sample-record.ts';

type Chart = Finding['evidence']['charts'][number];

function withCharts(record: RunRecord, change: (chart: Chart) => Chart): RunRecord {
  const changed = (finding: Finding): Finding => ({
    ...finding,
    evidence: { ...finding.evidence, charts: finding.evidence.charts.map(change) },
  });
  return {
    ...record,
    specs: record.specs.map((spec) => ({
      ...spec,
      conditions: spec.conditions.map((condition) => ({
        ...condition,
        findings: condition.findings.map(changed),
      })),
    })),
  };
}

describe('a run of usual size', () => {
  const record = sampleRecord();
  const stored = storedEvidence(record, sampleTraces(record));

  test('keeps every point of every chart, to five digits', () => {
    expect(stored.leftOut).toBe(0);
    const s = record.specs.findIndex(({ spec }) => spec === 'crossfade-arrives-together');
    const original = record.specs[s]!.conditions[2]!.findings[0]!.evidence.charts[1]!;
    const kept = stored.charts[`${s}.2.0`]![1]!;
    original.lines.forEach((line, k) => {
      const xs = xsOf(kept.lines[k]!.x);
      expect(xs).toHaveLength(line.x.length);
      for (const [i, x] of line.x.entries()) {
        expect(xs[i]).toBeCloseTo(x, 6);
        expect(kept.lines[k]!.y[i]! / line.y[i]!).toBeCloseTo(1, 4);
      }
    });
  });

  test('evenly spaced points are told by start and step, others one by one', () => {
    const kinds = Object.values(stored.charts)
      .flat()
      .flatMap(({ kind, lines }) => lines.map(({ x }) => [kind, 'count' in x]));
    expect(kinds).toContainEqual(['waveform', true]);
    expect(kinds).toContainEqual(['spectrum', false]);
  });

  test('has a trace for every capture', () => {
    const files = record.specs.flatMap(({ conditions }) =>
      conditions.flatMap(({ captures }) => captures.map(({ file }) => file)),
    );
    expect(Object.keys(stored.traces).sort()).toEqual([...files].sort());
  });
});

describe('a run of 3,000 findings and 200 captures', () => {
  const record = bigRecord();
  const stored = storedEvidence(record, bigTraces(record));

  test('fits into a page below 3 MB', () => {
    const page = renderPage({ record, traces: bigTraces(record) });
    expect(page.length).toBeGreaterThan(5e5);
    expect(Buffer.byteLength(page)).toBeLessThan(3e6);
  });

  test('keeps the charts of what did not pass whole, and thins or counts the rest', () => {
    const charts = record.specs.flatMap((spec, s) =>
      spec.conditions.flatMap((condition, c) =>
        condition.findings.map((finding, f) => ({
          finding,
          kept: stored.charts[`${s}.${c}.${f}`],
        })),
      ),
    );
    const bad = charts.filter(({ finding }) => finding.verdict === 'fail');
    expect(bad.length).toBeGreaterThan(10);
    for (const { kept } of bad) expect(kept?.[0]?.lines[0]?.y.length).toBe(1000);
    const missing = charts.filter(({ kept }) => kept === undefined).length;
    expect(stored.leftOut).toBe(missing);
    expect(charts.length).toBe(3000);
  });

  test('a spike in a thinned line is still as high', () => {
    const thinned = Object.values(stored.charts)
      .flat()
      .filter(({ lines }) => lines[0]!.y.length < 1000);
    expect(thinned.length).toBeGreaterThan(0);
    for (const { lines } of thinned) expect(Math.max(...lines[0]!.y)).toBe(9);
  });

  test('a single colour off a thinned path stays, on whichever side it lies', () => {
    // A path that goes far up and right, and one point beside it that is no higher or lower than its turn.
    const along = Array.from({ length: 997 }, (_, k) => k / 1000);
    const [x, y] = [along.slice(), along.slice()];
    x[617] = 0.6203;
    const path = { name: 'measured', role: 'measured', x, y } as const;
    const paths = withCharts(record, (chart) => ({ ...chart, kind: 'path', lines: [path] }));
    const lines = Object.values(storedEvidence(paths, []).charts).flatMap(
      ([chart]) => chart!.lines,
    );
    const short = lines.filter((line) => line.y.length < 997);
    expect(short.length).toBeGreaterThan(0);
    for (const line of short) expect(xsOf(line.x)).toContain(0.6203);
  });

  test('traces keep at most the intervals that they came with', () => {
    for (const { min } of Object.values(stored.traces))
      expect(min.length).toBeLessThanOrEqual(traceIntervals);
  });
});
