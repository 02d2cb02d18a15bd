import { describe, expect, it } from 'vitest';
import { lightness } from '../../../harness/measure/colorimetry/lightness.ts';
import { withOtherChannels } from '../../../harness/report/pictures/all-channels.ts';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import type { EvidenceChart } from '../../../harness/report/pictures/drawn-chart.ts';
import { findingCharts } from '../../../harness/report/pictures/finding-charts.ts';
import { finding } from '../sample-record.ts';

function fadeChart(channel: string, levels: readonly number[] = [1, 1, 0.01, 0.01]): EvidenceChart {
  return {
    kind: 'waveform',
    title: `Fade of ${channel}`,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'level of full light', unit: '1', shown: '%', scale: 'log' },
    lines: [
      { name: 'commanded', role: 'commanded', x: [0, 1, 3, 4], y: [...levels] },
      { name: channel, role: 'measured', x: [0, 4], y: [1, 0.01] },
    ],
    marks: [
      { at: 1, label: 'commanded start' },
      { at: 3, label: 'commanded end' },
    ],
  };
}

function bandOf(metric: string, lower: number | null, upper: number) {
  const made = finding({
    ...{ metric, title: metric, of: 'warm', unit: 's', shown: 's', value: 2, expanded: 0.01 },
    ...{ ...(lower === null ? {} : { lower }), upper, text: 'as much' },
  });
  const [chart] = findingCharts({ ...made, evidence: { charts: [fadeChart('warm')], notes: {} } });
  return chart?.lines.filter(({ role }) => role === 'corridor') ?? [];
}

describe('the tolerance about a commanded line', () => {
  it('of a duration ends where the shortest and the longest fade end', () => {
    const [longest, shortest] = bandOf('fade-duration', 1.9, 2.2);
    expect(longest?.x).toEqual([0, 1, expect.closeTo(3.2, 9), expect.closeTo(4.2, 9)]);
    expect(shortest?.x).toEqual([0, 1, expect.closeTo(2.9, 9), expect.closeTo(3.9, 9)]);
    expect(longest?.name).toBe('allowed: as much');
  });

  it('of a spread is as much later and earlier', () => {
    const [late, early] = bandOf('arrival-spread', null, 0.02);
    expect(late?.x[1]).toBeCloseTo(1.02, 9);
    expect(early?.x[1]).toBeCloseTo(0.98, 9);
  });

  it('of a deviation is a part of the level', () => {
    const [above, below] = bandOf('curve-deviation', null, 0.1);
    expect(above?.y[3]).toBeCloseTo(0.011, 9);
    expect(below?.y[3]).toBeCloseTo(0.009, 9);
  });

  it('of a level is a part of it, to each side its own', () => {
    const [above, below] = bandOf('level-error', -0.05, 0.1);
    expect([above?.y[3], below?.y[3]]).toEqual([
      expect.closeTo(0.011, 9),
      expect.closeTo(0.0095, 9),
    ]);
  });

  it('of a sweep is a factor either way, as it is judged in the logarithm', () => {
    const [above, below] = bandOf('sweep-deviation', null, 0.25);
    expect([above?.y[3], below?.y[3]]).toEqual([
      expect.closeTo(0.0125, 9),
      expect.closeTo(0.008, 9),
    ]);
  });

  it.each(['level-error-lightness', 'sweep-deviation-lightness'])(
    'of %s lies as far off in lightness',
    (metric) => {
      const [above, below] = bandOf(metric, null, 5);
      // L* of 1 % is 8.99, by the straight line near the foot and the cube root above it.
      const foot = lightness(0.01);
      expect(lightness(above?.y[3] ?? 0)).toBeCloseTo(foot + 5, 9);
      expect(lightness(below?.y[3] ?? 0)).toBeCloseTo(foot - 5, 9);
      // No light is darker than none.
      expect(bandOf(metric, null, 20)[1]?.y[3]).toBe(0);
    },
  );

  it.each([
    ['arrival-spread', 2.5],
    ['start-spread', 1.1],
  ])('of the %s of channels begins with the first of them, over all rows', (metric, first) => {
    const arrivals: EvidenceChart = {
      ...fadeChart('warm'),
      kind: 'arrivals',
      lines: [
        { name: 'warm', role: 'measured', x: [1.2, 2.5], y: [1, 1] },
        { name: 'cool', role: 'measured', x: [1.1, 2.6], y: [2, 2] },
      ],
    };
    const made = finding({
      ...{ metric, title: metric, of: 'lamp', unit: 's', shown: 'ms', value: 0.1, expanded: 0.01 },
      ...{ upper: 0.02, text: 'as much' },
    });
    const [chart] = findingCharts({ ...made, evidence: { charts: [arrivals], notes: {} } });
    const band = chart?.lines.filter(({ role }) => role === 'corridor');
    const x = [first, expect.closeTo(first + 0.02, 9)];
    expect(band).toMatchObject([
      { x, y: [2.5, 2.5] },
      { x, y: [0.5, 0.5] },
    ]);
    // Rows keep the names of the channels.
    const { markup } = chartPicture(chart ?? arrivals, { width: 600, height: 240, id: 'rows' });
    expect(`${markup}`).toMatch(/>cool<.*>warm<|>warm<.*>cool</);
  });

  it('is left out of metrics that say nothing of where the line may be', () => {
    expect(bandOf('fade-overshoot', null, 0.02)).toEqual([]);
  });
});

describe('channels that were told the same', () => {
  it('share a picture, others do not', () => {
    const [warm, cool] = [fadeChart('warm'), fadeChart('cool')];
    const red = fadeChart('red', [0.1, 0.1, 1, 1]);
    const { lines } = withOtherChannels(warm, [cool, red]);
    expect(lines.map(({ name }) => name)).toEqual(['commanded', 'warm', 'cool']);
  });

  it('never more than can be told apart', () => {
    const others = Array.from({ length: 9 }, (_, k) => fadeChart(`channel ${k}`));
    const { lines } = withOtherChannels(fadeChart('warm'), others);
    expect(lines.filter(({ role }) => role === 'measured')).toHaveLength(6);
  });
});
