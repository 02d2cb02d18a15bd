import { describe, expect, it } from 'vitest';
import { visibleModulation } from '../../../harness/measure/features/fade/visible-modulation.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { ditherRate, ditherVisibility } from '../../../harness/measure/metrics/fade/dither.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { figure, reason } from '../current/current-of.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';
import { changedRecord } from '../recorded.ts';

/** A steady level that alternates by `depth` at `frequency`, as a sine. */
function alternating(metric: Metric, frequency: number, depth: number, noise = 0): Observation {
  const segments = steps([[0.01, 4]]);
  const level = (t: number) => 0.01 * (1 + depth * Math.sin(2 * Math.PI * frequency * t));
  return observe(
    metric,
    [{ channel: 'warm', segments, waveform: recordOf(level, 4, { noise }) }],
    'warm',
  );
}

describe('dithering', () => {
  it.each([7.3, 31, 125, 488.28])('at %f Hz has that rate', (frequency) => {
    expect(
      Math.abs(figure(ditherRate, alternating(ditherRate, frequency, 0.02, 1e-5)) - frequency),
    ).toBeLessThan(0.03);
  });

  // Computed: depth over 0.025 f % below 90 Hz and 0.08 f % above (IEEE 1789 low risk, from memory).
  it.each([
    [10, 0.0025, 1],
    [50, 0.0125, 1],
    [200, 0.08, 0.5],
  ])('at %f Hz and depth %f stands at %f of the limit', (frequency, depth, ratio) => {
    expect(figure(ditherVisibility, alternating(ditherVisibility, frequency, depth))).toBeCloseTo(
      ratio,
      2,
    );
  });

  it('at 100 Hz and weak may be the mains, unless somebody has recorded the dark wiring', () => {
    const observation = alternating(ditherRate, 100, 0.004, 1e-5);
    expect(reason(ditherRate, observation)).toBe('below-noise');
    const records = observation.records.map((record) =>
      changedRecord(record, { dark: { slow: 0, lines: [], drift: 0 } }),
    );
    expect(figure(ditherRate, { ...observation, records })).toBeCloseTo(100, 1);
    expect(figure(ditherRate, alternating(ditherRate, 100, 0.02, 1e-5))).toBeCloseTo(100, 1);
  });

  it('of nothing has no rate and no visibility', () => {
    expect(reason(ditherRate, alternating(ditherRate, 10, 0, 1e-5))).toBe('no-periodicity');
    expect(reason(ditherVisibility, alternating(ditherVisibility, 10, 0))).toBe('unresolved');
    expect(figure(ditherVisibility, alternating(ditherVisibility, 10, 0, 1e-5))).toBe(0);
  });

  it('is not judged in a short record, the dark, or at a low rate', () => {
    const observation = alternating(ditherVisibility, 10, 0.01);
    expect(reason(ditherVisibility, { ...observation, window: { from: 0, to: 0.5 } })).toBe(
      'too-short',
    );
    const segments = steps([[0.01, 4]]);
    const slow = { channel: 'warm', segments, waveform: recordOf(() => 0.01, 4, { rate: 1000 }) };
    expect(reason(ditherVisibility, observe(ditherVisibility, [slow], 'warm'))).toBe('too-slow');
    const dark = { channel: 'warm', segments, waveform: recordOf(() => 0, 4) };
    expect(reason(ditherRate, observe(ditherRate, [dark], 'warm'))).toBe('dark');
  });

  it('has its limit jump at 90 Hz, which belongs to the upper side', () => {
    expect(visibleModulation(89.99)).toBeCloseTo(0.0225, 4);
    expect(visibleModulation(90)).toBeCloseTo(0.072, 12);
    expect(visibleModulation(1250)).toBe(1);
    expect(visibleModulation(9999)).toBe(1);
  });
});
