import { expect, it } from 'vitest';
import type { Chart, Line } from '../../../harness/measure/evidence.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { recallLevel } from '../../../harness/measure/metrics/control/kept-level.ts';
import {
  levelError,
  levelErrorLightness,
} from '../../../harness/measure/metrics/level/level-error.ts';
import { levelRatio } from '../../../harness/measure/metrics/level/level-ratio.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';

const windows = { reference: { from: 0, to: 0.5 }, window: { from: 0.5, to: 1 } };

/** Half of full light and then 10 %, of which the lamp gives 12 %; 2 A are full light. */
function chartOf(metric: Metric, channel = 'warm'): Chart {
  const levels = steps([
    [0.5, 0.5],
    [0.1, 0.5],
  ]);
  const waveform = recordOf((t) => 2 * (t < 0.5 ? 0.5 : 0.12), 1, { noise: 1e-5 });
  const observation = observe(metric, [{ channel, segments: levels, waveform }], channel, windows);
  const outcome = metric.compute(observation);
  if (!outcome.measured) throw new Error(outcome.reason);
  const [chart] = outcome.evidence.charts;
  if (!chart) throw new Error('no chart');
  // Nothing is drawn for realisations of noise.
  const bare = metric.compute(observation, { evidence: false });
  expect(bare.measured && bare.evidence.charts).toEqual([]);
  return chart;
}

function only({ lines }: Chart, role: Line['role']): Line {
  const [line] = lines.filter((one) => one.role === role);
  if (!line) throw new Error(`no ${role} line`);
  return line;
}

it.each([levelError, levelErrorLightness])(
  '$id draws what was commanded, what came and its mean, in levels of full light',
  (metric) => {
    const chart = chartOf(metric);
    expect(chart.y).toMatchObject({ label: 'level of full light', shown: '%' });
    const { x, y } = only(chart, 'commanded');
    expect([x[0], y[0]]).toEqual([0.5, 0.1]);
    expect(x.at(-1)).toBeCloseTo(1, 6);
    expect(y.at(-1)).toBe(0.1);
    const measured = only(chart, 'measured');
    expect(measured.name).toBe('warm');
    for (const level of measured.y) expect(level).toBeCloseTo(0.12, 4);
    expect(measured.x[0]).toBeGreaterThan(0.5);
    expect(only(chart, 'fit').y[0]).toBeCloseTo(0.12, 5);
  },
);

it.each([levelRatio, recallLevel])(
  '$id draws the light relative to its reference, whatever was commanded',
  (metric) => {
    const chart = chartOf(metric);
    expect(chart.y.label).toBe('level relative to the reference');
    expect(chart.lines.map(({ role }) => role)).toEqual(['fit', 'measured']);
    for (const level of only(chart, 'measured').y) expect(level).toBeCloseTo(0.24, 4);
    expect(only(chart, 'fit').y[0]).toBeCloseTo(0.24, 5);
  },
);
