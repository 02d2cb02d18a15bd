import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../harness/bench/ports.ts';
import type { Route } from '../../harness/plan/routing.ts';
import { toWaveform } from '../../harness/run/observe-pass.ts';

const route = { wire: { bandwidth: 1e5 } } as Pick<Route, 'wire'>;

function raw(codes: RawCapture['codes'], scale: number): RawCapture {
  const lowest = -4;
  const highest = 4;
  return { input: 'a', codes, scale, offset: 1, unit: 'A', lowest, highest, rate: 10, start: 0 };
}

describe('toWaveform', () => {
  it('tells the step of a converter that gives whole codes, and none of a record of numbers', () => {
    expect(toWaveform(raw(Int16Array.of(1, 2), 0.5), route).step).toBe(0.5);
    expect(toWaveform(raw(Int32Array.of(1, 2), -0.5), route).step).toBe(0.5);
    expect(toWaveform(raw(Float32Array.of(1, 2), 0.5), route)).not.toHaveProperty('step');
  });

  it('keeps the range in order when the probe is the other way round', () => {
    const { range, samples, clipped } = toWaveform(raw(Int16Array.of(-4, 0, 3), -0.5), route);
    expect(range).toEqual({ low: -1, high: 3 });
    expect([...samples]).toEqual([3, 1, -0.5]);
    expect(clipped).toBe(1);
  });
});
