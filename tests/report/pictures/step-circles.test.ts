import { describe, expect, test } from 'vitest';
import { findingFacts } from '../../../harness/report/pages/run/finding-panel.ts';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import { xRange } from '../../../harness/report/pictures/chart-view.ts';
import type { EvidenceChart } from '../../../harness/report/pictures/drawn-chart.ts';
import { chartsWithSteps } from '../../../harness/report/pictures/step-circles.ts';
import { condition, finding, recordOf, spec } from '../sample-record.ts';

/** A point that lies two hundredths to the right of its target. */
const chart = {
  kind: 'path' as const,
  title: "Colour in the u'v' diagram",
  x: { label: "u'", unit: '1', scale: 'linear' as const },
  y: { label: "v'", unit: '1', scale: 'linear' as const },
  lines: [
    { name: 'measured', role: 'measured' as const, x: [0.22], y: [0.5] },
    { name: 'target', role: 'target' as const, x: [0.2], y: [0.5] },
  ],
  marks: [],
};

function colourFinding(metric: string, upper: number) {
  const made = finding({
    metric,
    title: metric,
    of: 'lamp',
    unit: '1',
    shown: '1',
    value: upper * 2,
    expanded: upper / 10,
    upper,
    text: `at most ${upper}`,
  });
  return { ...made, evidence: { charts: [chart], notes: {} } };
}

describe('the steps about the target of a colour', () => {
  test.each([
    ['sdcm-steps', 3, 0.0033, 'limit: 3 steps'],
    ['uv-shift', 0.0022, 0.0022, 'limit: 2 steps'],
  ])('of %s are a circle at the limit and one at a single step', (metric, upper, radius, name) => {
    const [drawn] = chartsWithSteps(colourFinding(metric, upper));
    const [limit, one] = drawn!.lines.slice(2);
    expect(limit).toMatchObject({ name, role: 'limit' });
    expect(one!.name).toBe('one step about the target');
    for (const [line, r] of [
      [limit!, radius],
      [one!, 0.0011],
    ] as const) {
      for (const [k, u] of line.x.entries())
        expect(Math.hypot(u - 0.2, line.y[k]! - 0.5)).toBeCloseTo(r, 12);
    }
  });

  test('are not drawn where the limit is no distance from a target', () => {
    expect(chartsWithSteps(colourFinding('path-deviation', 0.002))[0]).toBe(chart);
  });

  test('lie in the picture, and so does the target, however far the point went', () => {
    const [drawn] = chartsWithSteps(colourFinding('sdcm-steps', 3));
    const { from, to } = xRange(drawn!);
    expect(from).toBeCloseTo(0.2 - 0.0033, 9);
    expect(to).toBe(0.22);
  });
});

describe('how well the middle of the readings is known', () => {
  const notes = {
    "standard-uncertainty-u'": 2e-3,
    "standard-uncertainty-v'": 1e-3,
    "correlation-u'-v'": 0,
  };
  const ellipse = (changed: Record<string, number> = {}, drawn: EvidenceChart = chart) => {
    const made = colourFinding('sdcm-steps', 3);
    const evidence = { charts: [drawn], notes: { ...notes, ...changed } };
    return chartsWithSteps({ ...made, evidence })[0]!.lines.find(({ role }) => role === 'fit');
  };
  /** A point is 2.448 standard uncertainties off, at most, in 95 % of a plane's normal distribution. */
  const k = 2.4477468;

  test('is an ellipse, each axis as long as its uncertainty', () => {
    const { x, y, name } = ellipse()!;
    expect(name).toBe('mean colour to 95 %');
    expect(Math.max(...x)).toBeCloseTo(0.22 + k * 2e-3, 7);
    expect(Math.min(...y)).toBeCloseTo(0.5 - k * 1e-3, 7);
    for (const [n, u] of x.entries())
      expect(Math.hypot((u - 0.22) / 2e-3, (y[n]! - 0.5) / 1e-3)).toBeCloseTo(k, 6);
    expect([x.at(-1), y.at(-1)]).toEqual([x[0], y[0]]);
  });

  test('leans where u and v err together', () => {
    const { x, y } = ellipse({ "standard-uncertainty-v'": 2e-3, "correlation-u'-v'": 0.8 })!;
    // Eigenvalues of equal variances: (1 ± correlation) of them, along the diagonals.
    const along = x.map((u, n) => (u - 0.22 + (y[n]! - 0.5)) / Math.SQRT2);
    const across = x.map((u, n) => (u - 0.22 - (y[n]! - 0.5)) / Math.SQRT2);
    expect(Math.max(...along)).toBeCloseTo(k * 2e-3 * Math.sqrt(1.8), 6);
    expect(Math.max(...across)).toBeCloseTo(k * 2e-3 * Math.sqrt(0.2), 6);
  });

  test('lies about the mean of the readings, in a plot of one scale', () => {
    const lines = [{ ...chart.lines[0]!, x: [0.21, 0.23], y: [0.49, 0.5] }, chart.lines[1]!];
    const { x, y } = ellipse({}, { ...chart, lines })!;
    const middle = (values: readonly number[]) => (Math.max(...values) + Math.min(...values)) / 2;
    expect([middle(x), middle(y)]).toEqual([expect.closeTo(0.22, 9), expect.closeTo(0.495, 9)]);
    const path = /class="fit" d="M([^"]*)"/.exec(
      `${chartPicture({ ...chart, lines: [{ name: 'mean colour to 95 %', role: 'fit', x, y }] }, { width: 640, height: 300, id: 'ellipse' }).markup}`,
    );
    const places = (path?.[1] ?? '').split('L').map((place) => place.split(' ').map(Number));
    const extent = (n: number) => {
      const all = places.map((place) => place[n] ?? Number.NaN);
      return Math.max(...all) - Math.min(...all);
    };
    expect(extent(0) / extent(1)).toBeCloseTo(2, 1);
  });

  test('is not drawn where nobody says it', () => {
    expect(ellipse({ "correlation-u'-v'": Number.NaN })).toBeUndefined();
  });
});

test('a finding without captures names the instrument that its budget names, with its calibration', () => {
  const made = colourFinding('sdcm-steps', 3);
  const uncertainty = {
    expanded: 0.2,
    coverageFactor: 2,
    contributions: [{ name: 'scale of the colour sensor', standard: 0.1 }],
  };
  const point = condition({}, [{ ...made, uncertainty, captures: [] }]);
  const record = recordOf([spec('a', 'b', 'c', [point])]);
  const html = `${findingFacts(record, { condition: point, finding: point.findings[0]! })}`;
  expect(html).toContain('colour sensor (simulated): calibration overdue, due 2026-10-01');
  expect(html).not.toContain('digitiser (simulated)');
});
