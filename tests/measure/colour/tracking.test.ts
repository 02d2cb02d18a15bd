import { describe, expect, it } from 'vitest';
import { cctToXyOhno2013 } from '../../../harness/measure/colorimetry/cct-ohno-2013.ts';
import { xyToXyz } from '../../../harness/measure/colorimetry/chromaticity.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { cctTracking, duvTracking } from '../../../harness/measure/metrics/colour/tracking.ts';
import { figure, reason } from '../current/current-of.ts';
import { observe, steps } from '../lamp-of.ts';

type Colour = readonly [cct: number, duv: number];

/** One second at each level, read ten times, in these colours. */
function dimmed(metric: Metric, colours: readonly Colour[], standardXy = 0) {
  const levels = colours.map((_, k) => [0.5 ** k, 1] as const);
  const colour = colours.flatMap(([cct, duv], k) =>
    Array.from({ length: 10 }, (_, reading) => ({
      capture: 'colour',
      at: k + 0.05 + reading / 10,
      integration: 0.1,
      ...xyToXyz(cctToXyOhno2013({ cct, duv }), 100 * 0.5 ** k),
      state: 'good' as const,
      of: 'lamp',
      ...(standardXy > 0 && { standardXy }),
    })),
  );
  return observe(metric, [{ channel: 'warm', segments: steps(levels) }], 'lamp', { colour });
}

const colours: readonly Colour[] = [
  [4000, 0.001],
  [4020, -0.002],
  [3950, 0.002],
];

describe('CCT and Duv over dimming', () => {
  it('are the largest change from full light, either way (colours made from CCT and Duv, Ohno 2014)', () => {
    expect(figure(cctTracking, dimmed(cctTracking, colours))).toBeCloseTo(50, 0);
    expect(figure(duvTracking, dimmed(duvTracking, colours))).toBeCloseTo(0.003, 5);
  });

  it('carry the error of the colour sensor at both levels', () => {
    const outcome = cctTracking.compute(dimmed(cctTracking, colours, 0.001));
    if (!outcome.measured) throw new Error(outcome.reason);
    const sensor = outcome.contributions.filter(({ name }) => name === 'colour sensor');
    expect(sensor.length).toBe(2);
    for (const { standard } of sensor) expect(standard).toBeGreaterThan(10);
  });

  it('need two steady levels, and light at each of them', () => {
    expect(reason(cctTracking, dimmed(cctTracking, colours.slice(0, 1)))).toBe('out-of-domain');
    const { colour, ...rest } = dimmed(cctTracking, colours);
    const under = colour.map((one) =>
      one.at > 2 ? { ...one, state: 'under-range' as const } : one,
    );
    expect(reason(cctTracking, { ...rest, colour: under })).toBe('below-noise');
  });
});
