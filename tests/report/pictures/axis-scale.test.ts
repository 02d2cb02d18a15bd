import { expect, test } from 'vitest';
import { axisScale, linearTicks, logTicks } from '../../../harness/report/pictures/axis-scale.ts';

test('ticks are multiples of 1, 2 or 5 times a power of ten, inside the range', () => {
  expect(linearTicks(0, 10, 5)).toEqual([0, 2, 4, 6, 8, 10]);
  expect(linearTicks(-0.13, 0.31, 5)).toEqual([-0.1, 0, 0.1, 0.2, 0.3]);
  expect(linearTicks(8.1, 8.5, 5)).toEqual([8.1, 8.2, 8.3, 8.4, 8.5]);
  expect(linearTicks(3, 3, 5)).toEqual([3]);
});

test('logarithmic ticks are powers of ten, with 2 and 5 where there is room', () => {
  expect(logTicks(0.0008, 1.2, 5)).toEqual([0.001, 0.01, 0.1, 1]);
  expect(logTicks(10, 1000, 8)).toEqual([10, 20, 50, 100, 200, 500, 1000]);
  expect(logTicks(200, 300, 5)).toEqual([200, 220, 240, 260, 280, 300]);
});

test('place and figure are each other’s way back, on both kinds of scale', () => {
  for (const log of [false, true]) {
    const scale = axisScale({ from: 2, to: 700, log }, { start: 40, end: 840, ticks: 5 });
    expect(scale.place(2)).toBe(40);
    expect(scale.place(700)).toBeCloseTo(840, 9);
    for (const figure of [3, 37, 699])
      expect(scale.figure(scale.place(figure))).toBeCloseTo(figure, 9);
  }
});

test('a decade takes the same length wherever it lies', () => {
  const { place } = axisScale({ from: 0.01, to: 100, log: true }, { start: 0, end: 400, ticks: 5 });
  expect(place(0.1) - place(0.01)).toBeCloseTo(100, 9);
  expect(place(100) - place(10)).toBeCloseTo(100, 9);
});
