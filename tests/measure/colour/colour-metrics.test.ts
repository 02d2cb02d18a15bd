import { describe, expect, it } from 'vitest';
import { cctToXyOhno2013 } from '../../../harness/measure/colorimetry/cct-ohno-2013.ts';
import {
  type Tristimulus,
  uv1976ToXy,
  type Xy,
  xyToUv1976,
  xyToXyz,
} from '../../../harness/measure/colorimetry/chromaticity.ts';
import { mix } from '../../../harness/measure/colorimetry/mixing.ts';
import { commandedMeanColour } from '../../../harness/measure/features/colour/commanded-colour.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { cct, duv } from '../../../harness/measure/metrics/colour/cct-and-duv.ts';
import { channelRatioDrift } from '../../../harness/measure/metrics/colour/channel-ratio-drift.ts';
import {
  chromaticityX,
  chromaticityY,
} from '../../../harness/measure/metrics/colour/chromaticity.ts';
import {
  sdcmSteps,
  uvDistance,
} from '../../../harness/measure/metrics/colour/distance-to-target.ts';
import { mixingError } from '../../../harness/measure/metrics/colour/mixing-error.ts';
import { nominalCctBin } from '../../../harness/measure/metrics/colour/nominal-cct-bin.ts';
import { pathDeviation } from '../../../harness/measure/metrics/colour/path-deviation.ts';
import { uvShift } from '../../../harness/measure/metrics/colour/uv-shift.ts';
import type { ColourReading, Observation } from '../../../harness/measure/observation.ts';
import { figure, reason } from '../current/current-of.ts';
import { type Channel, fade, lengthOf, levelAt, observe, recordOf, steps } from '../lamp-of.ts';

const white = { channel: 'warm', segments: steps([[1, 4]]), xy: [0.4578, 0.4101] as const };

function reading(
  light: Tristimulus,
  at: number,
  change: Partial<ColourReading> = {},
): ColourReading {
  return {
    capture: 'colour',
    at,
    integration: 0.1,
    ...light,
    state: 'good',
    of: 'lamp',
    ...change,
  };
}

/** Two seconds of one colour, then two seconds of another, read twice a second. */
function twoColours(
  metric: Metric,
  first: Xy,
  second: Xy,
  parameters: Observation['parameters'] = {},
  change: Partial<ColourReading> = {},
): Observation {
  const colour = Array.from({ length: 8 }, (_, k) =>
    reading(xyToXyz(k < 4 ? first : second, k < 4 ? 100 : 3), 0.25 + k * 0.5, change),
  );
  return observe(metric, [white], 'lamp', {
    colour,
    reference: { from: 0, to: 2 },
    window: { from: 2, to: 4 },
    parameters,
  });
}

const d65 = { x: 0.3127, y: 0.329 };
const near = uv1976ToXy({ u: xyToUv1976(d65).u + 0.003, v: xyToUv1976(d65).v - 0.004 });

describe('a colour and its reference', () => {
  it("are apart by the distance in u'v', at any level (3-4-5 triangle: 0.005)", () => {
    expect(figure(uvShift, twoColours(uvShift, d65, near))).toBeCloseTo(0.005, 12);
    expect(figure(uvShift, twoColours(uvShift, near, d65))).toBeCloseTo(0.005, 12);
    expect(figure(uvShift, twoColours(uvShift, d65, d65))).toBeCloseTo(0, 12);
  });

  it('carries the uncertainty that the sensor states', () => {
    const outcome = uvShift.compute(twoColours(uvShift, d65, near, {}, { standardXy: 0.001 }));
    if (!outcome.measured) throw new Error(outcome.reason);
    // Computed: at D65 u' moves by 1.1 and v' by 1.3 for a change in x or y, twice and root-sum-squared.
    expect(outcome.contributions[0]!.standard).toBeGreaterThan(0.0008);
    expect(outcome.contributions[0]!.standard).toBeLessThan(0.003);
  });
});

describe('a colour alone', () => {
  it('has its coordinates, its distance and its steps from a target', () => {
    const at = (metric: Metric, parameters = {}) =>
      figure(metric, twoColours(metric, d65, near, parameters));
    expect(at(chromaticityX)).toBeCloseTo(near.x, 12);
    expect(at(chromaticityY)).toBeCloseTo(near.y, 12);
    expect(at(uvDistance, d65)).toBeCloseTo(0.005, 12);
    expect(at(sdcmSteps, d65)).toBeCloseTo(0.005 / 0.0011, 9);
  });

  it('has the commanded mix as its target where none is stated', () => {
    const warm = { x: 0.4578, y: 0.4101 };
    expect(figure(uvDistance, twoColours(uvDistance, d65, warm))).toBeCloseTo(0, 12);
    expect(figure(sdcmSteps, twoColours(sdcmSteps, d65, warm))).toBeCloseTo(0, 9);
  });

  it('has its CCT, its Duv and its place in a nominal CCT', () => {
    const xy = cctToXyOhno2013({ cct: 3100, duv: 0.002 });
    const at = (metric: Metric, parameters = {}) =>
      figure(metric, twoColours(metric, d65, xy, parameters));
    expect(Math.abs(at(cct) - 3100)).toBeLessThan(0.1);
    expect(Math.abs(at(duv) - 0.002)).toBeLessThan(1e-6);
    // Computed: (3100 - 3045) / 175.
    expect(at(nominalCctBin, { nominal: 3000 })).toBeCloseTo(55 / 175, 2);
    expect(at(nominalCctBin, { nominal: 4000 })).toBeGreaterThan(1);
    expect(reason(nominalCctBin, twoColours(nominalCctBin, d65, xy, { nominal: 3333 }))).toBe(
      'out-of-domain',
    );
    expect(reason(cct, twoColours(cct, d65, { x: 0.69, y: 0.3 }))).toBe('off-locus');
  });

  const all = [
    uvShift,
    chromaticityX,
    chromaticityY,
    uvDistance,
    sdcmSteps,
    cct,
    duv,
    nominalCctBin,
    mixingError,
    pathDeviation,
  ];

  it.each(all)('gives no number of $id that the sensor cannot stand behind', (metric) => {
    const observation = (change: Partial<ColourReading>) =>
      twoColours(metric, d65, d65, { nominal: 6500 }, change);
    expect(reason(metric, observation({ state: 'saturated' }))).toBe('saturated');
    expect(reason(metric, observation({ state: 'under-range' }))).toBe('below-noise');
    expect(reason(metric, observation({ X: Number.NaN }))).toBe('not-finite');
    expect(reason(metric, observation({ X: -50 }))).toBe('negative-light');
    expect(reason(metric, observation({ X: 0, Y: 0, Z: 0 }))).toBe('dark');
    expect(reason(metric, { ...observation({}), colour: [] })).toBe('no-record');
    expect(reason(metric, { ...observation({}), window: { from: 3.9, to: 4 } })).toBe('empty');
  });

  it('wants a reference where it is compared', () => {
    const { reference: _, ...without } = twoColours(uvShift, d65, near);
    expect(reason(uvShift, without)).toBe('no-reference');
    expect(
      reason(uvShift, { ...twoColours(uvShift, d65, near), reference: { from: 5, to: 6 } }),
    ).toBe('no-reference');
  });
});

describe('a crossfade', () => {
  const channels: readonly Channel[] = [
    { channel: 'warm', segments: fade(0.8, 0.1, 2), lumen: 600, xy: [0.4578, 0.4101] },
    { channel: 'red', segments: fade(0.1, 0.65, 2), lumen: 200, xy: [0.69, 0.31] },
    { channel: 'cyan', segments: fade(0.05, 0.3, 2), lumen: 250, xy: [0.12, 0.4] },
  ];

  /** Readings every 50 ms of the commanded colour, `bent` as asked. */
  function crossfade(
    bent: (light: Tristimulus, at: number) => Tristimulus,
    parameters = {},
  ): Observation {
    const base = observe(pathDeviation, channels, 'lamp', { parameters });
    const colour = Array.from({ length: 27 }, (_, k) => {
      const at = 0.05 + k * 0.1;
      return reading(bent(commandedMeanColour(base, { from: at - 0.05, to: at + 0.05 }), at), at);
    });
    return { ...base, colour };
  }

  it('keeps to the path of its commanded levels', () => {
    expect(
      figure(
        pathDeviation,
        crossfade((light) => light),
      ),
    ).toBeLessThan(1e-5);
    // A lamp whose light is all a little greener still takes the same path, moved.
    const greener = crossfade(({ X, Y, Z }) => ({ X: 0.99 * X, Y, Z: 1.01 * Z }));
    expect(figure(pathDeviation, greener)).toBeLessThan(2e-3);
  });

  it('leaves it where a channel lags', () => {
    const lagging = crossfade((light, at) =>
      at > 0.5 && at < 2 ? mix([light, xyToXyz({ x: 0.12, y: 0.4 }, 15)]) : light,
    );
    expect(figure(pathDeviation, lagging)).toBeGreaterThan(5e-3);
  });

  it('is not straight, by the bow of exponential fades', () => {
    expect(
      figure(
        pathDeviation,
        crossfade((light) => light, { path: 'straight' }),
      ),
    ).toBeGreaterThan(3e-4);
  });

  it('shows no path in fewer than five readings', () => {
    const observation = crossfade((light) => light);
    expect(reason(pathDeviation, { ...observation, colour: observation.colour.slice(0, 4) })).toBe(
      'too-short',
    );
  });
});

describe('a mix', () => {
  const channels: readonly Channel[] = [
    { channel: 'warm', segments: steps([[0.6, 2]]), lumen: 100, xy: [0.4578, 0.4101] },
    { channel: 'cool', segments: steps([[0.4, 2]]), lumen: 100, xy: [0.3123, 0.3283] },
  ];
  const warm = xyToXyz({ x: 0.4578, y: 0.4101 }, 60);
  const cool = xyToXyz({ x: 0.3123, y: 0.3283 }, 40);

  it('is the sum of its nominal channels, or of its channels as they were read alone', () => {
    const base = observe(mixingError, channels, 'lamp');
    const sum = mix([warm, cool]);
    expect(figure(mixingError, { ...base, colour: [reading(sum, 1)] })).toBeCloseTo(0, 12);
    const redder = xyToXyz({ x: 0.46, y: 0.41 }, 60);
    const read = mix([redder, cool]);
    expect(figure(mixingError, { ...base, colour: [reading(read, 1)] })).toBeGreaterThan(1e-4);
    const alone = [reading(redder, 0.5, { of: 'warm' }), reading(cool, 0.6, { of: 'cool' })];
    expect(figure(mixingError, { ...base, colour: [reading(read, 1), ...alone] })).toBeCloseTo(
      0,
      12,
    );
  });
});

describe('channel ratios', () => {
  const reference = { from: 0, to: 1 };
  const window = { from: 1, to: 2 };
  const lamp = (dimmed: Readonly<Record<string, number>>): readonly Channel[] =>
    Object.entries({ warm: 0.8, red: 0.3, cyan: 0.1 }).map(([channel, full]) => {
      const segments = steps([
        [full, 1],
        [full * 0.01, 1],
      ]);
      const really = (t: number) => levelAt(segments, t) * (t > 1 ? (dimmed[channel] ?? 1) : 1);
      return { channel, segments, waveform: recordOf(really, lengthOf(segments), { rate: 2000 }) };
    });
  const drift = (dimmed: Readonly<Record<string, number>>) =>
    figure(
      channelRatioDrift,
      observe(channelRatioDrift, lamp(dimmed), 'lamp', { reference, window }),
    );

  it('hold where all channels dim alike', () => {
    expect(drift({})).toBeCloseTo(0, 9);
    expect(drift({ warm: 0.9, red: 0.9, cyan: 0.9 })).toBeCloseTo(0, 9);
  });

  it('drift by what one channel leaves the common ratio', () => {
    // Computed: ratios 1, 1, 1.06 with a mean of 1.02.
    expect(drift({ cyan: 1.06 })).toBeCloseTo(1.06 / 1.02 - 1, 6);
  });

  it('are not told of one channel, in the dark, or without a reference', () => {
    const one = observe(channelRatioDrift, lamp({}).slice(0, 1), 'lamp', { reference, window });
    expect(reason(channelRatioDrift, one)).toBe('out-of-domain');
    expect(
      reason(channelRatioDrift, observe(channelRatioDrift, lamp({}), 'lamp', { window })),
    ).toBe('no-reference');
    const missing = observe(channelRatioDrift, lamp({}), 'lamp', {
      reference,
      window,
      records: [],
    });
    expect(reason(channelRatioDrift, missing)).toBe('no-record');
  });
});
