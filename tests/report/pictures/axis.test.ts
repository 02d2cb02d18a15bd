import { expect, test } from 'vitest';
import { type AxisRange, scaleOf, ticksOf } from '../../../harness/report/pictures/axis.ts';

const linear = (from: number, to: number): AxisRange => ({ from, to, log: false });
const log = (from: number, to: number): AxisRange => ({ from, to, log: true });
const ticks = (range: AxisRange, count: number) => ticksOf(range, count, (tick) => `${tick}`);
const words = (range: AxisRange, count: number) =>
  ticks(range, count).flatMap(({ label }) => label || []);

test('ticks are multiples of 1, 2 or 5 times a power of ten, inside the range, all with words', () => {
  expect(words(linear(0, 10), 5)).toEqual(['0', '2', '4', '6', '8', '10']);
  expect(words(linear(-0.13, 0.31), 5)).toEqual(['-0.1', '0', '0.1', '0.2', '0.3']);
  expect(words(linear(8.1, 8.5), 5)).toEqual(['8.1', '8.2', '8.3', '8.4', '8.5']);
  expect(words(linear(3, 3), 5)).toEqual(['3']);
});

test('a logarithmic axis has words at powers of ten, at 2 and 5 where there is room, and ticks between', () => {
  expect(words(log(0.0008, 1.2), 5)).toEqual(['0.001', '0.01', '0.1', '1']);
  expect(words(log(10, 1000), 8)).toEqual(['10', '20', '50', '100', '200', '500', '1000']);
  const between = ticks(log(10, 1000), 5).filter(({ label }) => label === '');
  expect(between.map(({ at }) => at)).toEqual(expect.arrayContaining([30, 50, 90, 300, 900]));
});

test('less than a decade has words, too', () => {
  expect(words(log(200, 300), 5).length).toBeGreaterThan(2);
  expect(words(log(8, 9.4), 5).length).toBeGreaterThan(2);
  expect(words(log(31, 95), 4).length).toBeGreaterThan(1);
});

test('place and figure are each other’s way back, on both kinds of scale', () => {
  for (const range of [linear(2, 700), log(2, 700)]) {
    const scale = scaleOf(range, 40, 840);
    expect(scale(2)).toBeCloseTo(40, 9);
    expect(scale(700)).toBeCloseTo(840, 9);
    for (const figure of [3, 37, 699]) expect(scale.invert(scale(figure))).toBeCloseTo(figure, 9);
  }
});

test('a decade takes the same length wherever it lies; 0 and below lie beyond the far end', () => {
  const scale = scaleOf(log(0.01, 100), 0, 400);
  expect(scale(0.1) - scale(0.01)).toBeCloseTo(100, 9);
  expect(scale(100) - scale(10)).toBeCloseTo(100, 9);
  for (const figure of [0, -5]) expect(scale(figure)).toBeLessThan(-10_000);
});
