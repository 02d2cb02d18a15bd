import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { dynamicRange } from '../../../harness/measure/metrics/level/dynamic-range.ts';
import {
  sweepDeviationLightness,
  sweepDeviationLog,
} from '../../../harness/measure/metrics/level/sweep-deviation.ts';
import type { Outcome } from '../../../harness/measure/outcome.ts';
import { levelAt, observe, recordOf, steps } from '../lamp-of.ts';
import { wellFormed } from '../well-formed.ts';

const levels = [1, 0.5, 0.18, 0.05, 0.01, 0.001].map((level) => [level, 0.4] as const);

/** The metric of a sweep in which the lamp does `really` what is commanded. */
function swept(metric: Metric, really: (level: number) => number, noise = 1e-6): Outcome {
  const segments = steps(levels);
  const record = recordOf((t) => really(levelAt(segments, t)), 2.4, { noise });
  return wellFormed(
    metric,
    observe(metric, [{ channel: 'warm', segments, waveform: record }], 'warm'),
  );
}

const measuredOf = (outcome: Outcome) => {
  if (!outcome.measured) throw new Error(outcome.reason);
  return outcome;
};
const figure = (outcome: Outcome): number => measuredOf(outcome).value;
const reason = (outcome: Outcome): string => (outcome.measured ? 'measured' : outcome.reason);

describe('deviation of a sweep', () => {
  it('is nothing for a lamp on the curve, whatever its full light', () => {
    expect(figure(swept(sweepDeviationLog, (level) => 0.3 * level))).toBeLessThan(1e-3);
    expect(figure(swept(sweepDeviationLightness, (level) => 0.3 * level))).toBeLessThan(1e-2);
  });

  it('counts too bright and too dark by the same factor alike', () => {
    for (const factor of [1.25, 1 / 1.25]) {
      const found = swept(sweepDeviationLog, (level) => (level === 0.01 ? factor : 1) * level);
      expect(figure(found)).toBeCloseTo(0.25, 3);
    }
  });

  it('is ΔL* of the CIE 1976 formula: 20 % for 18 % is 51.837 - 49.496', () => {
    // CIE 15 8.2.1: L* = 116 (Y/Yn)^(1/3) - 16, closed form.
    const found = swept(sweepDeviationLightness, (level) => (level === 0.18 ? 0.2 : level));
    expect(figure(found)).toBeCloseTo(51.837 - 49.496, 2);
  });

  it('refuses a level without light that the record would have shown, as the lamp has failed it', () => {
    const lost = (level: number) => (level < 0.005 ? 0 : level);
    for (const metric of [sweepDeviationLog, sweepDeviationLightness, dynamicRange]) {
      expect(reason(swept(metric, lost))).toBe('dark');
    }
  });

  it('refuses a level that would be lost in the noise, which says nothing of the lamp', () => {
    const lost = (level: number) => (level < 0.005 ? 0 : level);
    for (const metric of [sweepDeviationLog, dynamicRange]) {
      expect(reason(swept(metric, lost, 0.05))).toBe('below-noise');
    }
  });

  it('states a floor, and leaves room for a noisier level than the one that seems the worst', () => {
    const { contributions, floor, value } = measuredOf(
      swept(sweepDeviationLog, (level) => level, 2e-3),
    );
    const [scatter] = contributions;
    expect(floor).toBeGreaterThan(0);
    expect(value + 2 * (scatter?.standard ?? 0)).toBeGreaterThanOrEqual(floor ?? 1);
  });
});

describe('dynamic range', () => {
  it('is full light over the dimmest light', () => {
    expect(figure(swept(dynamicRange, (level) => level))).toBeCloseTo(1000, -1);
  });

  it('ends at a threshold below which the lamp does not dim', () => {
    expect(figure(swept(dynamicRange, (level) => Math.max(level, 0.004)))).toBeCloseTo(250, 0);
  });
});
