import fc from 'fast-check';
import { expect, test } from 'vitest';
import { traceOf } from '../../../harness/report/pages/run/trace.ts';

const capture = { file: 'a.npy', signal: 'light', of: 'light' };
const wave = (samples: Float32Array) => ({ samples, rate: 1000, start: 0.25, unit: 'lx' });

test('a spike of one sample is kept however long the record is', () => {
  const samples = new Float32Array(1_000_003);
  samples[654_321] = 7;
  const trace = traceOf(capture, wave(samples), 500);
  expect(Math.max(...trace.max)).toBe(7);
  const at = trace.max.indexOf(7);
  expect(trace.x0 + at * trace.dx).toBeLessThanOrEqual(0.25 + 654.321);
  expect(trace.x0 + (at + 1) * trace.dx).toBeGreaterThan(0.25 + 654.321);
});

test('extremes of all intervals are the extremes of the record, and intervals cover it', () => {
  fc.assert(
    fc.property(
      fc.float32Array({ minLength: 1, maxLength: 3000, noNaN: true, noDefaultInfinity: true }),
      fc.integer({ min: 1, max: 400 }),
      (samples, intervals) => {
        const { min, max, dx } = traceOf(capture, wave(samples), intervals);
        expect(min.length).toBeLessThanOrEqual(intervals);
        expect(Math.min(...min)).toBe(Math.min(...samples));
        expect(Math.max(...max)).toBe(Math.max(...samples));
        expect(min.length * dx).toBeGreaterThanOrEqual(samples.length / 1000 - 1e-9);
      },
    ),
  );
});

test('a short record is kept sample by sample', () => {
  const trace = traceOf(capture, wave(Float32Array.of(1, 2, 3)));
  expect(trace).toMatchObject({ x0: 0.25, dx: 0.001, unit: 'lx' });
  expect([...trace.min]).toEqual([1, 2, 3]);
  expect([...trace.max]).toEqual([1, 2, 3]);
});

test('samples that are no numbers are left out', () => {
  const trace = traceOf(capture, wave(Float32Array.of(Number.NaN, 5, Number.NaN, Number.NaN)), 2);
  expect([...trace.max]).toEqual([5, 0]);
  expect(traceOf(capture, wave(new Float32Array())).min).toHaveLength(0);
});
