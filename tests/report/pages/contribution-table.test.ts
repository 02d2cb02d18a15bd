import { expect, it } from 'vitest';
import { contributionTable } from '../../../harness/report/pages/run/contribution-table.ts';
import type { DrawnChart } from '../../../harness/report/pictures/drawn-chart.ts';
import { finding } from '../sample-record.ts';

const spectrum: DrawnChart = {
  kind: 'spectrum',
  title: 'Spectrum',
  x: { label: 'frequency', unit: 'Hz', scale: 'log' },
  y: { label: 'modulation', unit: '1', shown: '%', scale: 'log' },
  lines: [
    {
      name: 'light',
      role: 'measured',
      x: [50, 100, 200, 300, 400, 500, 600, 4000],
      y: [0.5, 0.01, 0.03, 0.0001, 0.02, 0.005, 0.006, 0.9],
    },
    // Straight from 10 % at 100 Hz to 60 % at 600 Hz.
    { name: 'low risk', role: 'limit', x: [100, 600], y: [0.1, 0.6] },
  ],
  marks: [],
};

function made(metric: string, upper: number, notes: Record<string, number> = {}) {
  const one = finding({
    ...{ metric, title: metric, of: 'light', unit: metric === 'svm' ? '1' : 's', value: upper },
    ...{ shown: metric === 'svm' ? '1' : 'ms', expanded: 0, upper, text: 'as asked' },
  });
  return { ...one, evidence: { charts: [], notes } };
}

/** Cells of the rows, without the markup. */
function rowsOf(text: string): string[][] {
  return [...text.matchAll(/<tr>(.*?)<\/tr>/g)].map(([, cells = '']) =>
    [...cells.matchAll(/<t[dh][^>]*>(.*?)<\/t[dh]>/g)].map(([, cell = '']) =>
      cell.replaceAll('\u00a0', ' '),
    ),
  );
}

it('lists the five components that use most of the limit, each by the limit at its frequency', () => {
  const text = `${contributionTable(made('svm', 1), [spectrum])}`;
  expect(rowsOf(text)).toEqual([
    ['frequency', 'modulation', 'of the limit'],
    ['200 Hz', '3 %', '15 %'],
    ['100 Hz', '1 %', '10 %'],
    ['400 Hz', '2 %', '5 %'],
    ['500 Hz', '0.5 %', '1 %'],
    ['600 Hz', '0.6 %', '1 %'],
  ]);
  // Of eight components two lie where no limit is: they do not count.
  expect(text).toContain('and 1 smaller');
});

it('lists the channels of a crossfade by how much later than the first they are', () => {
  const notes = { 'arrival-warm': 8.0, 'arrival-cool': 8.03, 'arrival-red': 8.0001, other: 1 };
  const text = `${contributionTable(made('arrival-spread', 0.02, notes), [])}`;
  expect(rowsOf(text).slice(1)).toEqual([
    ['cool', '30 ms', '150 %'],
    ['red', '0.1 ms', '&lt; 1 %'],
    ['warm', '0 ms', '0 %'],
  ]);
});

it('says nothing of metrics that are not made of parts, or have no limit in their picture', () => {
  expect(contributionTable(made('level-drift', 1), [{ ...spectrum, kind: 'waveform' }])).toBeNull();
  const bare = { ...spectrum, lines: spectrum.lines.slice(0, 1) };
  expect(contributionTable(made('svm', 1), [bare])).toBeNull();
  expect(contributionTable(made('svm', 1), [])).toBeNull();
});
