import { expect, it } from 'vitest';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import type { EvidenceChart } from '../../../harness/report/pictures/drawn-chart.ts';
import { findingCharts } from '../../../harness/report/pictures/finding-charts.ts';
import { finding } from '../sample-record.ts';

const spectrum: EvidenceChart = {
  kind: 'spectrum',
  title: 'Spectrum',
  x: { label: 'frequency', unit: 'Hz', scale: 'log' },
  y: { label: 'modulation', unit: '1', shown: '%', scale: 'log' },
  lines: [
    { name: 'light', role: 'measured', x: [100, 200, 300], y: [0.01, 0.3, 0.02] },
    { name: 'low risk', role: 'limit', x: [90, 1250], y: [0.07, 1] },
  ],
  marks: [{ at: 200, label: 'worst component' }],
};

const steps: EvidenceChart = {
  ...spectrum,
  kind: 'waveform',
  x: { label: 'time', unit: 's', scale: 'linear' },
  y: { label: 'relative change', unit: '1', shown: '%', scale: 'linear' },
  lines: [{ name: 'beyond the ideal', role: 'measured', x: [0, 2], y: [0, 0.2] }],
};

function charted(metric: string, upper: number, chart: EvidenceChart) {
  const made = finding({
    ...{ metric, title: metric, of: 'light', unit: '1', shown: '%', value: 0.2, expanded: 0.01 },
    ...{ upper, text: 'as asked' },
  });
  return findingCharts({ ...made, evidence: { charts: [chart], notes: {} } })[0];
}

it('a step is held against the limit that was asked for', () => {
  const limit = charted('largest-visible-step', 0.03, steps)?.lines.at(-1);
  expect(limit).toEqual({ name: 'limit 3 %', role: 'limit', x: [0, 2], y: [0.03, 0.03] });
});

const held: EvidenceChart = {
  ...steps,
  y: { label: 'level relative to the reference', unit: '1', shown: '%', scale: 'linear' },
};

it('a level is held against the lowest and the highest that is allowed', () => {
  const made = finding({
    ...{ metric: 'level-ratio', title: 'Level', of: 'warm', unit: '1', shown: '%', value: 0.2 },
    ...{ expanded: 0.01, lower: 0.09, upper: 0.11, text: 'as asked' },
  });
  const [chart] = findingCharts({ ...made, evidence: { charts: [held], notes: {} } });
  expect(chart?.lines.slice(1)).toEqual([
    { name: 'limit 11 %', role: 'limit', x: [0, 2], y: [0.11, 0.11] },
    { name: 'limit 9 %', role: 'limit', x: [0, 2], y: [0.09, 0.09] },
  ]);
});

it('a limit of the light is told in its own unit, by what the reference was', () => {
  const inLux: EvidenceChart = { ...steps, y: { label: 'light', unit: 'lx', scale: 'linear' } };
  const made = finding({
    ...{ metric: 'highest-level', title: 'Flash', of: 'light', unit: '1', shown: '%', value: 0.2 },
    ...{ expanded: 0.01, upper: 0.05, text: 'as asked' },
  });
  const drawn = (notes: Record<string, number>) =>
    findingCharts({ ...made, evidence: { charts: [inLux], notes } })[0]?.lines.slice(1);
  expect(drawn({ reference: 400 })).toMatchObject([{ name: 'limit 5 %', y: [20, 20] }]);
  expect(drawn({})).toEqual([]);
});

it('half of a practice is half of its line, all of it is the line itself', () => {
  const half = charted('ieee1789-low-risk', 0.5, spectrum)?.lines.at(-1);
  expect(half).toMatchObject({ name: 'limit: 0.5 × low risk', y: [0.035, 0.5] });
  expect(charted('ieee1789-low-risk', 1, spectrum)?.lines.at(-1)?.name).toBe('low risk');
});

it('nothing joins the components of a spectrum, and each has a dot', () => {
  const { markup } = chartPicture(spectrum, { width: 600, height: 240, id: 'spectrum' });
  const text = `${markup}`;
  const stems = /class="measured pen-0 stems" d="([^"]*)"/.exec(text)?.[1] ?? '';
  expect(stems.match(/M/g)).toHaveLength(3);
  expect(stems).not.toContain('L');
  expect(/class="measured pen-0 dots" d="([^"]*)"/.exec(text)?.[1]?.match(/h0/g)).toHaveLength(3);
});
