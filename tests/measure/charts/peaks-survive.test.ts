import { describe, expect, it } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { excursionChart, pathChart } from '../../../harness/measure/charts/colour-charts.ts';
import { courseChart } from '../../../harness/measure/charts/course-chart.ts';
import { currentChart } from '../../../harness/measure/charts/current-charts.ts';
import { stepChart } from '../../../harness/measure/charts/fade-charts.ts';
import { waveformChart } from '../../../harness/measure/charts/flicker-charts.ts';
import { averagesChart, levelChart } from '../../../harness/measure/charts/level-charts.ts';
import { mainsChart } from '../../../harness/measure/charts/mains-charts.ts';
import { modelChart } from '../../../harness/measure/charts/model-chart.ts';
import { type Xy, xyToXyz } from '../../../harness/measure/colorimetry/chromaticity.ts';
import { type Chart, chartPoints } from '../../../harness/measure/evidence.ts';
import { levelDrift } from '../../../harness/measure/metrics/level/level-drift.ts';
import type { ColourReading } from '../../../harness/measure/observation.ts';
import { outermostPoints } from '../../../harness/measure/signal/outermost.ts';
import { tellingStretch } from '../../../harness/measure/signal/telling-stretch.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';

/** A prime number of points, and a peak at a place that no even stride meets. */
const count = 100_003;
const place = 71_717;

function withPeak(peak: number, level = 1): Float64Array {
  const values = new Float64Array(count).fill(level);
  values[place] = peak;
  return values;
}

const times = Float64Array.from({ length: count }, (_, k) => k / 1000);

/** The value that a chart has within a point of the peak's place, and that it has few points. */
function drawnAt({ lines }: Chart, at: number): readonly number[] {
  for (const { x } of lines) expect(x.length).toBeLessThanOrEqual(chartPoints);
  const [line] = lines.filter(({ role }) => role === 'measured');
  return line?.y.filter((_, k) => Math.abs((line.x[k] ?? Number.NaN) - at) < 1e-3) ?? [];
}

function waveformOf(samples: Float64Array): Waveform {
  return { samples, rate: 1000, start: 0, unit: 'A', clipped: 0 };
}

describe('a peak of a single point in a long record is drawn', () => {
  it.each([9, 0.1])('in averages of a steady level, at %f', (peak) => {
    const values = withPeak(peak);
    const waveform = waveformOf(values);
    const averages = { times, values, mean: 1, width: 1e-3, noise: 0, waveform };
    expect(drawnAt(averagesChart(averages, 'Steady level'), 71.717)).toContain(peak);
  });

  it.each([9, 0.1])('in light held against a level, at %f', (peak) => {
    const chart = levelChart({ times, values: withPeak(peak) }, 'lx', 1, 50);
    expect(drawnAt(chart, 71.717)).toContain(peak);
  });

  it.each([9, -9])('in a current, at %f', (peak) => {
    const chart = currentChart(waveformOf(withPeak(peak)), 'Current', { from: 0, to: 100 });
    expect(drawnAt(chart, 71.7175)).toContain(peak);
  });

  it.each([0.5, -0.5])('in the steps of a fade, at %f', (peak) => {
    const steps = Array.from(withPeak(peak, 0), (beyond, k) => ({ at: k / 1000, beyond }));
    expect(drawnAt(stepChart(steps), 71.717)).toContain(Math.expm1(peak));
  });

  it('in light beside its model', () => {
    const flat = new Float64Array(count).fill(1);
    const held = {
      ...{ times, light: withPeak(9), low: flat, high: flat, least: flat, most: flat },
      ...{ doubt: flat, noise: 0, width: 1e-3, spacing: 1e-3, open: null },
    };
    const observation = observe(levelDrift, [], 'lamp');
    expect(drawnAt(modelChart(held, observation, null, 'Light'), 71.717)).toContain(9);
  });

  it('in the mains current and voltage, in whichever period it lies', () => {
    const wave = Float64Array.from({ length: 500_001 }, (_, k) =>
      Math.sin((2 * Math.PI * k) / 20_000),
    );
    wave[417_713] = 9;
    const current = { ...waveformOf(wave), rate: 1_000_000 };
    const periods = { from: 0, to: 0.5, count: 25, frequency: 50 };
    expect(drawnAt(mainsChart({ current, voltage: current, periods }), 0.4177135)).toContain(9);
    // A record without one is drawn from its first period on.
    wave[417_713] = 0;
    const [plain] = mainsChart({ current, voltage: null, periods }).lines;
    expect(plain?.x[0]).toBeLessThan(1e-3);
  });

  it('in a rippling light, in whichever period it lies', () => {
    const samples = Float64Array.from(
      { length: 40_000 },
      (_, k) => 1 + 0.2 * Math.sin((2 * Math.PI * k) / 200),
    );
    const waveform = { ...waveformOf(samples), rate: 20_000 };
    const first = waveformChart(waveform, analysisOf(waveform));
    expect(first.title).toBe('First periods of the record');
    const peaked = samples.slice();
    peaked[31_313] = 3;
    const chart = waveformChart({ ...waveform, samples: peaked }, analysisOf(waveform));
    expect(chart.title).toBe('Periods around the farthest sample');
    expect(drawnAt(chart, 31_313.5 / 20_000)).toContain(3);
  });

  it('in the light of a window that is long for its averages', () => {
    const segments = steps([[0.5, 400]]);
    const really = (t: number) => (Math.abs(t - 287.07) < 0.01 ? 1 : 0.5);
    const waveform = recordOf(really, 400, { rate: 500 });
    const made = [{ channel: 'warm', segments, waveform }];
    const chart = courseChart(waveform, observe(levelDrift, made, 'warm'), 'Light', 0.04);
    const measured = chart.lines.find(({ role }) => role === 'measured');
    expect(Math.max(...(measured?.y ?? []))).toBeGreaterThan(0.8);
  });

  it('in colour over time', () => {
    const mean = { u: 0.2, v: 0.5 };
    const points = Array.from(withPeak(0.03, 0), (off, k) => ({
      at: k / 1000,
      uv: { u: mean.u + off, v: mean.v },
    }));
    expect(drawnAt(excursionChart(points, mean), 71.717)).toContainEqual(expect.closeTo(0.03, 9));
  });
});

describe('a single colour off its path is drawn', () => {
  const on = (k: number): Xy => ({ x: 0.3 + (0.15 * k) / 5000, y: 0.32 + (0.09 * k) / 5000 });

  it.each([
    ['to the side', 4e-3, -4e-3],
    ['above', 0, 6e-3],
    ['below', 0, -6e-3],
  ])('%s', (_, dx, dy) => {
    const readings = Array.from({ length: 5000 }, (_, k): ColourReading => {
      const { x, y } = on(k);
      const off = k === 3713 ? { x: x + dx, y: y + dy } : { x, y };
      return {
        ...xyToXyz(off, 100),
        at: k / 1000,
        of: 'lamp',
        integration: 1e-3,
        state: 'good',
        capture: 'colour',
      };
    });
    const only = pathChart(readings.slice(3713, 3714), []).lines[0];
    const [line] = pathChart(readings, []).lines;
    expect(line?.x.length).toBeLessThanOrEqual(chartPoints);
    expect(line?.x).toContain(only?.x[0]);
    expect(line?.y).toContain(only?.y[0]);
  });

  it('and a path that fits is kept whole', () => {
    const [x, y] = [Float64Array.of(1, 2, 3), Float64Array.of(4, 4, 4)];
    expect(outermostPoints(x, y, 3)).toEqual([0, 1, 2]);
  });
});

it('a stretch for a picture is the first one unless a sample goes clearly beyond it', () => {
  const ripple = Float64Array.from({ length: 1000 }, (_, k) => Math.sin(k));
  expect(tellingStretch(ripple, 100)).toBe(0);
  for (const [at, peak, first] of [
    [700, -1.5, 650],
    [700, 1.5, 650],
    [990, 1.5, 900],
    [110, 1.5, 60],
  ] as const) {
    const peaked = ripple.slice();
    peaked[at] = peak;
    expect(tellingStretch(peaked, 100)).toBe(first);
  }
  expect(tellingStretch(new Float64Array(0), 10)).toBe(0);
});
