import { describe, expect, test } from 'vitest';
import { findingFacts } from '../../../harness/report/pages/run/finding-panel.ts';
import { xRange } from '../../../harness/report/pictures/chart-view.ts';
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
    // And the circle of U, 0.3 steps, about the point.
    expect(to).toBeCloseTo(0.22 + 0.3 * 0.0011, 9);
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
