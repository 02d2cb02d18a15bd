import { describe, expect, it } from 'vitest';
import { meanDoubtOfEdges } from '../../../harness/measure/signal/lone-edges.ts';

/** Pulses of 1 for `duty` of each `period` (in samples), seen at instants. */
function pulses(period: number, duty: number, phase: number, count = 20_000): Float64Array {
  return Float64Array.from({ length: count }, (_, k) => ((k / period + phase) % 1 < duty ? 1 : 0));
}

function meanOf(samples: Float64Array): number {
  return samples.reduce((sum, value) => sum + value, 0) / samples.length;
}

describe('the doubt that edges between point samples leave in a mean', () => {
  it('is that of two rectangular distributions a pulse where the pulses keep step', () => {
    // One rising and one falling edge in 50 samples, each with 1/√12 of a sample (JCGM 100:2008 4.3.7).
    expect(meanDoubtOfEdges(pulses(50, 0.37, 0.3))).toBeCloseTo(
      Math.SQRT1_2 / Math.sqrt(3) / 50,
      5,
    );
  });

  it.each([50, 16.525, 16 + 2 / 3, 33.333, 8.0001])(
    'holds the truth at %d samples a pulse',
    (period) => {
      let held = 0;
      for (let run = 0; run < 200; run++) {
        const samples = pulses(period, 0.2 + 0.003 * ((run * 61) % 200), (run * 0.618) % 1);
        const off = Math.abs(meanOf(samples) - (0.2 + 0.003 * ((run * 61) % 200)));
        // A record that cuts a pulse is off by a part of it, whatever the edges do.
        if (off <= 2 * meanDoubtOfEdges(samples) + period / samples.length) held++;
      }
      expect(held).toBeGreaterThanOrEqual(190);
    },
  );

  it('is small where pulses come in ever new places, and none for means, steady light and ripple', () => {
    const inStep = meanDoubtOfEdges(pulses(50, 0.37, 0.3));
    expect(meanDoubtOfEdges(pulses(50.137, 0.37, 0.3))).toBeLessThan(inStep / 5);
    const fine = pulses(800, 0.371, 0.3, 320_000);
    const means = Float64Array.from({ length: 20_000 }, (_, k) =>
      meanOf(fine.subarray(16 * k, 16 * k + 16)),
    );
    expect(meanDoubtOfEdges(means)).toBe(0);
    expect(meanDoubtOfEdges(new Float64Array(1000).fill(3))).toBe(0);
    expect(meanDoubtOfEdges(Float64Array.from({ length: 1000 }, (_, k) => Math.sin(k / 20)))).toBe(
      0,
    );
  });
});
