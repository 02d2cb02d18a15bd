import { expect, test } from 'vitest';
import { decimateMinMax } from '../../../harness/measure/signal/decimate-min-max.ts';

test('a short record is drawn whole', () => {
  const { at, values } = decimateMinMax(Float64Array.of(3, 1, 2), 10);
  expect(at).toEqual([0, 1, 2]);
  expect(values).toEqual([3, 1, 2]);
});

test('a single pulse in a long record stays visible, in its place and in order', () => {
  const samples = new Float32Array(1_000_003).fill(1);
  samples[765_432] = 9;
  samples[12_345] = -4;
  const { at, values } = decimateMinMax(samples, 1000);
  expect(at.length).toBeLessThanOrEqual(1000);
  expect(values[at.indexOf(765_432)]).toBe(9);
  expect(values[at.indexOf(12_345)]).toBe(-4);
  for (let k = 1; k < at.length; k++) expect(at[k]!).toBeGreaterThan(at[k - 1]!);
});

test('an empty record has no points', () => {
  expect(decimateMinMax(new Float64Array(0), 1000)).toEqual({ at: [], values: [] });
});

test('keeps the first lowest and the first highest sample of each stretch, by hand', () => {
  const samples = Float64Array.from([3, 1, 1, 5, 5, 2, 7, 7, 7, 0, 9, 4]);
  // Stretches of four: 1 and 5; one of 2 and 7; 0 and 9.
  expect(decimateMinMax(samples, 6)).toEqual({
    at: [1, 3, 5, 6, 9, 10],
    values: [1, 5, 2, 7, 0, 9],
  });
  // Three points make one stretch, and one point still one.
  for (const points of [1, 2, 3])
    expect(decimateMinMax(samples, points)).toEqual({ at: [9, 10], values: [0, 9] });
  expect(decimateMinMax(samples, 12).at).toEqual([...samples.keys()]);
  // Equal samples are drawn once.
  expect(decimateMinMax(new Float64Array(9).fill(4), 4)).toEqual({ at: [0, 4], values: [4, 4] });
});
