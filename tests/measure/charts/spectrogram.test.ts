import { describe, expect, it } from 'vitest';
import { spectrogramChart } from '../../../harness/measure/charts/spectrogram-chart.ts';
import type { Chart, Line } from '../../../harness/measure/evidence.ts';
import type { Segment } from '../../../harness/measure/observation.ts';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import { legend } from '../../../harness/report/pictures/legend.ts';
import { recordOf } from '../lamp-of.ts';

const seconds = 8;
/** A fade over three decades. */
const fade = (t: number): number => 10 ** (-3 * (t / seconds));

const steady = [{ from: 0, to: seconds, startLevel: 1, endLevel: 1 }];

/** The whole record, and where one segment follows another. */
function observed(segments: readonly Segment[] = steady) {
  return { from: 0, to: seconds, turns: segments.slice(1).map(({ from }) => from) };
}

function chartOf(light: (t: number) => number, noise = 0, segments = steady, rate = 7990): Chart {
  const waveform = recordOf(light, seconds, { rate, noise });
  const [chart] = spectrogramChart(waveform, observed(segments), 'Changes by frequency');
  if (!chart) throw new Error('no picture');
  return chart;
}

function rowsOf({ lines }: Chart): readonly Line[] {
  return lines.filter(({ role }) => role === 'measured');
}

/** The row that a frequency lies in. */
function rowAt(chart: Chart, frequency: number): Line {
  const edges = chart.lines.at(-1)?.y ?? [];
  const row = rowsOf(chart)[edges.findIndex((edge) => edge > frequency) - 1];
  if (!row) throw new Error(`no row at ${frequency} Hz`);
  return row;
}

function largest(lines: readonly Line[]): number {
  return Math.max(...lines.flatMap(({ y }) => y));
}

describe('the spectrogram of a fade', () => {
  it('has nothing of a fade alone, however deep', () => {
    expect(largest(rowsOf(chartOf(fade)))).toBeLessThan(0.05);
  });

  it('has a steady ripple at its frequency, as the share of what may be seen there', () => {
    const chart = chartOf((t) => fade(t) * (1 + 0.02 * Math.sin(2 * Math.PI * 60 * t)));
    // Low risk at 60 Hz is 1.5 %; the fade within a frame makes the ripple up to 3 % larger, relative to the mean.
    for (const share of rowAt(chart, 60).y)
      expect(Math.abs(share / (0.02 / 0.015) - 1)).toBeLessThan(0.04);
    expect(largest([rowAt(chart, 20), rowAt(chart, 300)])).toBeLessThan(0.05);
  });

  it('shows a burst when it is there and not before or after', () => {
    const burst = (t: number) =>
      Math.abs(t - 5) < 0.2 ? 0.2 * Math.sin(2 * Math.PI * 200 * t) : 0;
    const { x, y } = rowAt(
      chartOf((t) => fade(t) * (1 + burst(t))),
      200,
    );
    for (const [k, share] of y.entries()) {
      const off = Math.abs((x[k] ?? 0) - 5);
      if (off < 0.15) expect(share).toBeGreaterThan(1);
      if (off > 0.7) expect(share).toBeLessThan(0.05);
    }
  });

  it('has nothing of the commanded beginning of a fade, but of what else happens then', () => {
    const knee = (t: number) => (t < 4 ? 1 : fade(t - 4));
    const turning = [
      { from: 0, to: 4, startLevel: 1, endLevel: 1 },
      { from: 4, to: seconds, startLevel: 1, endLevel: 10 ** -1.5 },
    ];
    const ripple = (t: number) => knee(t) * (1 + 0.05 * Math.sin(2 * Math.PI * 60 * t));
    expect(largest(rowsOf(chartOf(knee)))).toBeGreaterThan(1);
    expect(largest(rowsOf(chartOf(knee, 0, turning)))).toBeLessThan(1);
    const chart = chartOf(ripple, 0, turning);
    expect(Math.min(...rowAt(chart, 60).y)).toBeGreaterThan(1);
  });

  it('leaves out what noise makes', () => {
    expect(largest(rowsOf(chartOf(() => 1, 0.02)))).toBe(0);
  });

  it('shows of a fast record what a slow one shows, and nothing of what is faster than the picture', () => {
    const ripple = (f: number) => (t: number) =>
      fade(t) * (1 + 0.3 * Math.sin(2 * Math.PI * f * t));
    const fast = (light: (t: number) => number, noise = 0) => chartOf(light, noise, steady, 40_000);
    for (const f of [60, 300, 1200]) {
      const slowly = rowAt(chartOf(ripple(f)), f).y;
      for (const [k, share] of rowAt(fast(ripple(f)), f).y.entries())
        expect(Math.abs(share / (slowly[k] ?? 0) - 1), `${f} Hz`).toBeLessThan(0.01);
    }
    // With every tenth sample of it alone 4.1 kHz would be 100 Hz.
    for (const f of [2900, 4100, 4900, 7800]) {
      const rows = rowsOf(fast(ripple(f)));
      // The filter takes the record to go on at its first and last value: of a tone that is cut there something is left.
      expect(largest(rows), `${f} Hz`).toBeLessThan(0.1);
      const within = rows.map((row) => ({ ...row, y: row.y.slice(2, -2) }));
      expect(largest(within), `${f} Hz`).toBeLessThan(0.02);
    }
    expect(largest(rowsOf(fast(() => 1, 0.02)))).toBe(0);
  });

  it('is left out where the window is too short or the record too slow for it', () => {
    const short = recordOf(() => 1, 0.001, { rate: 8000 });
    expect(spectrogramChart(short, { from: 0, to: 0.001, turns: [] }, 'short')).toEqual([]);
    const slow = recordOf(() => 1, 8, { rate: 30 });
    expect(spectrogramChart(slow, observed(), 'slow')).toEqual([]);
  });
});

it('is drawn as cells on an axis of Hz, what may be seen in its own colour', () => {
  const chart = chartOf((t) => fade(t) * (1 + (t > 4 ? 0.05 : 0) * Math.sin(2 * Math.PI * 60 * t)));
  const { markup } = chartPicture(chart, { width: 800, height: 300, id: 'cells' });
  const text = `${markup}`;
  const seen = [...text.matchAll(/class="cell seen" x="([^"]*)" y="([^"]*)"/g)];
  expect(seen.length).toBeGreaterThan(5);
  for (const [, x] of seen) expect(Number(x)).toBeGreaterThan(380);
  expect(text).toContain('frequency (Hz)');
  expect(text).toMatch(/>100</);
  expect(text).not.toContain('class="measured');
  expect(`${legend(chart)}`).toContain('may be seen');
});
