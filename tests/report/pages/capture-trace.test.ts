import { describe, expect, it } from 'vitest';
import { captureTrace } from '../../../harness/report/pages/run/trace.ts';

const capture = {
  id: 'light',
  file: '0001-light.npy',
  signal: 'light',
  of: 'light',
  instrument: 'digitiser',
  input: 'a',
  rate: 10,
  start: 0,
  samples: 3201,
  unit: 'lx',
  clipped: 0,
  taken: 'at-once' as const,
};

describe('captureTrace', () => {
  // 3,201 samples in intervals of three: 0 1 2, 3 4 5, and so on.
  const codes = Int16Array.from({ length: 3201 }, (_, index) => index);

  it('draws the lowest and the highest value of an interval', () => {
    const { min, max } = captureTrace({ ...capture, scale: 2, offset: 1 }, codes);
    expect([min[1], max[1]]).toEqual([7, 11]);
  });

  it('keeps lowest below highest when the scale is below zero', () => {
    const { min, max } = captureTrace({ ...capture, scale: -2, offset: 1 }, codes);
    expect([min[1], max[1]]).toEqual([-9, -5]);
  });
});
