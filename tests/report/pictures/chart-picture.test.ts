import { expect, test } from 'vitest';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import { firstView, xRange } from '../../../harness/report/pictures/chart-view.ts';
import * as charts from '../sample-record/sample-charts.ts';

const look = { id: 'a', width: 800, height: 300 };

test('arrivals open close up, on rows called by their channels, so that thousandths show', () => {
  const chart = charts.arrivals(8, 0.041);
  const view = firstView(chart);
  expect(view.to - view.from).toBeLessThan(0.2);
  expect(view.from).toBeLessThan(8.3);
  expect(view.to).toBeGreaterThan(8.341);
  const html = String(chartPicture(chart, look).markup);
  for (const name of ['warm', 'red', 'cyan', 'indigo', 'commanded end'])
    expect(html).toContain(`>${name}</text>`);
});

test('other charts open on the whole of what was measured, not of what is allowed', () => {
  const chart = charts.spectrum();
  expect(firstView(chart)).toEqual(xRange(chart));
  expect(xRange(chart).from).toBeCloseTo(5, 9);
  expect(xRange(chart).to).toBeCloseTo(5000, 6);
});

test('colour has one scale on both axes', () => {
  const { x, markup } = chartPicture(charts.colourPath(), { ...look, height: 500 });
  const perX = (x(0.22) - x(0.2)) / 0.02;
  const texts = [...String(markup).matchAll(/y="([\d.]+)" text-anchor="end">(0\.\d+)</g)].map(
    ([, y, figure]) => [Number(y), Number(figure)],
  );
  const [[y1, v1], [y2, v2]] = [texts[0]!, texts[1]!] as [[number, number], [number, number]];
  expect((y1 - y2) / (v2 - v1) / perX).toBeCloseTo(1, 2);
});

test('a corridor is one area between its two edges, under the lines', () => {
  const html = String(chartPicture(charts.fade(2), look).markup);
  expect(html.match(/class="corridor"/g)).toHaveLength(1);
  expect(html.indexOf('class="corridor"')).toBeLessThan(html.indexOf('class="ideal"'));
  expect(html.indexOf('class="ideal"')).toBeLessThan(html.indexOf('class="measured'));
});

test('a line without a single figure draws an empty plot, not an error', () => {
  const chart = { ...charts.fade(2), lines: [], marks: [] };
  expect(String(chartPicture(chart, look).markup)).not.toMatch(/NaN|Infinity/);
});
