import { describe, expect, it } from 'vitest';
import { pathChart } from '../../../harness/measure/charts/colour-charts.ts';
import { xyToCctOhno2013 } from '../../../harness/measure/colorimetry/cct-ohno-2013.ts';
import {
  deltaUv,
  type Tristimulus,
  type Uv1976,
  uv1976ToXy,
  type Xy,
  xyToUv1976,
  xyToXyz,
  xyzToXy,
} from '../../../harness/measure/colorimetry/chromaticity.ts';
import { mix } from '../../../harness/measure/colorimetry/mixing.ts';
import { commandedMeanColour } from '../../../harness/measure/features/colour/commanded-colour.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { cct, duv } from '../../../harness/measure/metrics/colour/cct-and-duv.ts';
import { chromaticityX } from '../../../harness/measure/metrics/colour/chromaticity.ts';
import {
  sdcmSteps,
  uvDistance,
} from '../../../harness/measure/metrics/colour/distance-to-target.ts';
import { mixingError } from '../../../harness/measure/metrics/colour/mixing-error.ts';
import { nominalCctBin } from '../../../harness/measure/metrics/colour/nominal-cct-bin.ts';
import { pathDeviation } from '../../../harness/measure/metrics/colour/path-deviation.ts';
import { cctTracking } from '../../../harness/measure/metrics/colour/tracking.ts';
import { uvShift } from '../../../harness/measure/metrics/colour/uv-shift.ts';
import type { ColourReading, Observation } from '../../../harness/measure/observation.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import { type Channel, observe, steps } from '../lamp-of.ts';
import { found, refused } from '../well-formed.ts';

const warm = { x: 0.4578, y: 0.4101 };
const cool = { x: 0.3123, y: 0.3283 };
const white = { channel: 'warm', segments: steps([[1, 4]]), xy: [warm.x, warm.y] as const };

function reading(light: Tristimulus, at: number, change: Partial<ColourReading> = {}) {
  const plain = { capture: 'colour', integration: 0.1, state: 'good', of: 'lamp' } as const;
  return { ...plain, at, ...light, ...change };
}

function read(
  metric: Metric,
  colour: readonly ColourReading[],
  change: Partial<Observation> = {},
  channels: readonly Channel[] = [white],
): Observation {
  return observe(metric, channels, 'lamp', { colour, ...change });
}

const parts = ({ contributions }: Measured) =>
  Object.fromEntries(contributions.map(({ name, standard }) => [name, standard]));

describe('the mean of some readings', () => {
  const red = xyToXyz({ x: 0.6, y: 0.35 }, 20);
  const blue = xyToXyz({ x: 0.2, y: 0.15 }, 10);
  const xOf = (...colour: readonly ColourReading[]) =>
    found(chromaticityX, read(chromaticityX, colour));

  it('weighs each by its integration time, or all alike where none is stated', () => {
    const weighed = (a: number, b: number) =>
      xOf(reading(red, 1, { integration: a }), reading(blue, 2, { integration: b }));
    const sum = (a: number, b: number) =>
      xyzToXy({ X: a * red.X + b * blue.X, Y: a * red.Y + b * blue.Y, Z: a * red.Z + b * blue.Z });
    expect(weighed(0.1, 0.3).value).toBeCloseTo(sum(1, 3).x, 12);
    expect(weighed(0, 0).value).toBeCloseTo(sum(1, 1).x, 12);
    const uv = xyToUv1976(sum(1, 3));
    expect(weighed(0.1, 0.3).evidence.notes).toEqual({
      x: expect.closeTo(sum(1, 3).x, 9),
      y: expect.closeTo(sum(1, 3).y, 9),
      "u'": expect.closeTo(uv.u, 9),
      "v'": expect.closeTo(uv.v, 9),
      Y: expect.closeTo((20 + 3 * 10) / 4, 9),
    });
  });

  it('has the largest error that a reading states, and the scatter of the mean apart as noise', () => {
    const at = (x: number, y: number, standardXy: number, k: number) =>
      reading(xyToXyz({ x, y }, 10), 1 + k / 10, { standardXy });
    // Three values 0.01 apart: s = 0.01, of the mean s / √3.
    const wide = xOf(at(0.3, 0.3, 0.001, 0), at(0.31, 0.301, 0.002, 1), at(0.32, 0.302, 0.001, 2));
    expect(parts(wide)).toEqual({
      'colour sensor': expect.closeTo(0.002, 9),
      'scatter of the readings': expect.closeTo(0.01 / Math.sqrt(3), 9),
    });
    expect(wide.contributions.map(({ isNoise = false }) => isNoise)).toEqual([false, true]);
    const high = xOf(at(0.3, 0.3, 0, 0), at(0.301, 0.31, 0, 1));
    // Two values 0.01 apart: s = 0.01 / √2, of the mean 0.005.
    expect(parts(high)).toEqual({
      'colour sensor': expect.closeTo(0, 9),
      'scatter of the readings': expect.closeTo(0.005, 9),
    });
    expect(parts(xOf(at(0.3, 0.3, 0.002, 0)))).toMatchObject({ 'scatter of the readings': 0 });
    expect(xOf(at(0.3, 0.3, 0, 0)).contributions).toEqual([]);
  });
});

describe('CCT and Duv', () => {
  const stated = (xy: Xy, metric: Metric, parameters = {}) =>
    found(
      metric,
      read(metric, [reading(xyToXyz(xy, 10), 1, { standardXy: 1e-3 })], { parameters }),
    );

  /** Central differences of both, over x and y together. */
  function slopes({ x, y }: Xy): { cct: number; duv: number } {
    const h = 1e-5;
    const at = (dx: number, dy: number) => {
      const here = xyToCctOhno2013({ x: x + dx, y: y + dy });
      if (!here) throw new Error('off the locus');
      return here;
    };
    const [right, left, up, down] = [at(h, 0), at(-h, 0), at(0, h), at(0, -h)];
    const both = (of: (one: typeof right) => number) =>
      Math.hypot(of(right) - of(left), of(up) - of(down)) / (2 * h);
    return { cct: both((one) => one.cct), duv: both((one) => one.duv) };
  }

  it('carry the error of x and y by their slopes (JCGM 100 5.1.3)', () => {
    for (const xy of [warm, cool]) {
      const slope = slopes(xy);
      const k = parts(stated(xy, cct))['colour sensor'] ?? 0;
      expect(k / (1e-3 * slope.cct)).toBeCloseTo(1, 2);
      const d = parts(stated(xy, duv))['colour sensor'] ?? 0;
      expect(d / (1e-3 * slope.duv)).toBeCloseTo(1, 2);
    }
  });

  it('show one another', () => {
    const one = xyToCctOhno2013(cool);
    if (!one) throw new Error('off the locus');
    const place = { x: expect.closeTo(cool.x, 9), y: expect.closeTo(cool.y, 9) };
    expect(stated(cool, cct).evidence.notes).toMatchObject({ ...place, duv: one.duv });
    expect(stated(cool, duv).evidence.notes).toEqual({ ...place, cct: one.cct });
  });

  it('end 0.05 from the locus, with how far it is', () => {
    const far = read(cct, [reading(xyToXyz({ x: 0.69, y: 0.3 }, 10), 1)]);
    const { reason, found: off, needed, unit } = refused(cct, far);
    expect({ reason, needed, unit }).toEqual({ reason: 'off-locus', needed: 0.05, unit: '1' });
    expect(off).toBeGreaterThan(0.05);
  });

  it('have a place in a nominal CCT whose error is the larger of the two, in tolerances', () => {
    // 3000 K: 3045 ± 175 K (ANSI C78.377), Duv ± 0.006.
    const place = stated(warm, nominalCctBin, { nominal: 3000 });
    const slope = slopes(warm);
    expect(
      (parts(place)['colour sensor'] ?? 0) / (1e-3 * Math.max(slope.cct / 175, slope.duv / 0.006)),
    ).toBeCloseTo(1, 2);
    expect(place.evidence.notes).toMatchObject({ 'nominal-cct-found': 2700 });
    const green = stated(uv1976ToXy({ u: 0.23, v: 0.53 }), nominalCctBin, { nominal: 3000 });
    expect(green.evidence.notes).toMatchObject({ 'nominal-cct-found': 'none' });
    const other = read(nominalCctBin, [reading(xyToXyz(warm, 10), 1)], {
      parameters: { nominal: 1 },
    });
    expect(refused(nominalCctBin, other)).toMatchObject({
      reason: 'out-of-domain',
      note: expect.stringMatching(/^nominal CCTs are .*2700, 3000, .* K$/),
    });
  });
});

describe('a target', () => {
  const one = [reading(xyToXyz(cool, 10), 1, { standardXy: 1e-3 })];

  it.each([uvDistance, sdcmSteps])('of $id is stated by both x and y, or is the mix', (metric) => {
    const whole = found(metric, read(metric, one));
    for (const parameters of [
      { x: 0.3, y: 0 },
      { x: 0, y: 0.3 },
    ])
      expect(found(metric, read(metric, one, { parameters })).value).toBe(whole.value);
    expect(whole.evidence.notes).toEqual({
      x: expect.closeTo(cool.x, 9),
      y: expect.closeTo(cool.y, 9),
      'target-x': expect.closeTo(warm.x, 9),
      'target-y': expect.closeTo(warm.y, 9),
    });
    const [chart] = whole.evidence.charts;
    expect(chart?.lines).toHaveLength(pathChart(one, [xyToUv1976(warm)]).lines.length);
  });

  it('has its error in steps of 0.0011', () => {
    const sensor = (metric: Metric) =>
      parts(found(metric, read(metric, one)))['colour sensor'] ?? 0;
    expect(sensor(sdcmSteps) * 0.0011).toBeCloseTo(sensor(uvDistance), 12);
  });

  it.each([uvDistance, sdcmSteps, mixingError])('of $id there is none without light', (metric) => {
    const off = [{ ...white, segments: steps([[0, 4]]) }];
    expect(refused(metric, read(metric, one, {}, off))).toMatchObject({
      reason: 'out-of-domain',
      note: expect.stringContaining('no light is commanded'),
    });
  });
});

describe('the commanded colour', () => {
  const channels = [
    {
      ...white,
      lumen: 100,
      segments: steps([
        [1, 3],
        [0, 1],
      ]),
    },
    { channel: 'cool', xy: [cool.x, cool.y] as const, lumen: 40, segments: steps([[0.5, 4]]) },
  ];
  const base = read(uvDistance, [], {}, channels);

  it('is the mean over its window: three quarters of it, or half', () => {
    const own = { ...base, of: 'warm' };
    expect(commandedMeanColour(own, { from: 0, to: 4 }).Y).toBeCloseTo(75, 9);
    expect(commandedMeanColour(own, { from: 2, to: 4 }).Y).toBeCloseTo(50, 9);
    expect(commandedMeanColour(own, { from: 0.5, to: 1.5 }).Y).toBeCloseTo(100, 9);
  });

  it('is that of a channel, or of all where the subject is the lamp', () => {
    expect(xyzToXy(commandedMeanColour({ ...base, of: 'cool' }, { from: 0, to: 4 })).x).toBeCloseTo(
      cool.x,
      9,
    );
    expect(commandedMeanColour(base, { from: 0, to: 4 }).Y).toBeCloseTo(75 + 20, 9);
  });
});

describe('a mix of channels that were read alone', () => {
  // Warm goes from 0.3 to 0.6, cool is off at first.
  const channels = [
    {
      ...white,
      lumen: 100,
      segments: steps([
        [0.3, 2],
        [0.6, 2],
      ]),
    },
    {
      channel: 'cool',
      xy: [cool.x, cool.y] as const,
      lumen: 100,
      segments: steps([
        [0, 2],
        [0.4, 2],
      ]),
    },
  ];
  const redder = { x: 0.47, y: 0.4 };
  const window = { from: 2, to: 4 };
  const lamp = (light: Tristimulus, alone: readonly ColourReading[]) =>
    read(mixingError, [reading(light, 3), ...alone], { window }, channels);

  it('takes each at the level of the middle of the window, and says how many were read', () => {
    const mixed = mix([xyToXyz(redder, 60), xyToXyz(cool, 40)]);
    const alone = [reading(xyToXyz(redder, 30), 1, { of: 'warm' })];
    const { value, evidence } = found(mixingError, lamp(mixed, alone));
    expect(value).toBeCloseTo(0, 9);
    expect(evidence.notes).toEqual({ 'channels-read-alone': 1, 'channels-nominal': 1 });
    expect(evidence.charts).toHaveLength(1);
    expect(evidence.charts[0]?.lines.length).toBe(
      pathChart([reading(mixed, 3)], [xyToUv1976(xyzToXy(mixed))]).lines.length,
    );
  });

  it('takes no reading under range, nor one of a channel that was off', () => {
    const mixed = mix([xyToXyz(warm, 60), xyToXyz(cool, 40)]);
    const wrong = xyToXyz({ x: 0.2, y: 0.2 }, 30);
    const { value, evidence } = found(
      mixingError,
      lamp(mixed, [
        reading(wrong, 1, { of: 'warm', state: 'under-range' }),
        reading(wrong, 1, { of: 'cool' }),
      ]),
    );
    expect(value).toBeCloseTo(0, 9);
    expect(evidence.notes).toEqual({ 'channels-read-alone': 0, 'channels-nominal': 2 });
  });
});

describe('a shift from the reference', () => {
  const two = [reading(xyToXyz(warm, 8), 0.5), reading(xyToXyz(cool, 6), 1.5)];
  const windows = { reference: { from: 0, to: 1 }, window: { from: 1, to: 2 } };

  it('shows both colours', () => {
    const { value, evidence } = found(uvShift, read(uvShift, two, windows));
    const [there, here] = [xyToUv1976(warm), xyToUv1976(cool)];
    expect(value).toBeCloseTo(deltaUv(here, there), 12);
    expect(evidence.notes).toEqual({
      "u'": expect.closeTo(here.u, 9),
      "v'": expect.closeTo(here.v, 9),
      Y: expect.closeTo(6, 9),
      "reference-u'": expect.closeTo(there.u, 9),
      "reference-v'": expect.closeTo(there.v, 9),
      'reference-Y': expect.closeTo(8, 9),
    });
    const [, second] = two;
    expect(evidence.charts).toHaveLength(1);
    expect(evidence.charts[0]?.lines.length).toBe(
      pathChart(second ? [second] : [], [there]).lines.length,
    );
  });

  it('has no dark reference: the lamp fails where it is to be lit there', () => {
    const dark = { X: 0, Y: 0, Z: 0 };
    const lit = refused(uvShift, read(uvShift, [{ ...two[0]!, ...dark }, two[1]!], windows));
    const unread = refused(uvShift, read(uvShift, two.slice(1), windows));
    expect(lit.reason).toBe('dark');
    expect(unread.reason).toBe('no-reference');
  });

  it('is failed by a lamp that stays dark where it is to be no darker than where the sensor saw it', () => {
    const tooDim = { state: 'under-range' } as const;
    const [first, second] = [{ ...two[0]!, ...tooDim }, two[1]!];
    const told = (levels: readonly [number, number], readings = [first, second]) => {
      const segments = steps([
        [levels[0], 1],
        [levels[1], 3],
      ]);
      return refused(uvShift, read(uvShift, readings, windows, [{ ...white, segments }])).reason;
    };
    expect(told([1, 0.1])).toBe('dark');
    expect(told([0.1, 0.1])).toBe('dark');
    // A dim window may be too dim for the sensor; one that is commanded dark is no reference.
    expect(told([0.01, 0.1])).toBe('below-noise');
    expect(told([0, 0.1])).toBe('no-reference');
    const other = [two[0]!, { ...two[1]!, ...tooDim }];
    expect(told([0.1, 1], other)).toBe('dark');
    expect(told([1, 0.1], other)).toBe('below-noise');
  });
});

describe('a path of two channels, which is straight', () => {
  const channels = [
    { ...white, lumen: 100, segments: [{ from: 0, to: 4, startLevel: 1, endLevel: 0.01 }] },
    {
      channel: 'cool',
      xy: [cool.x, cool.y] as const,
      lumen: 100,
      segments: [{ from: 0, to: 4, startLevel: 0.01, endLevel: 1 }],
    },
  ];
  const base = read(pathDeviation, [], {}, channels);
  const uvAt = (at: number) =>
    xyToUv1976(xyzToXy(commandedMeanColour(base, { from: at - 0.05, to: at + 0.05 })));

  /** Readings from 1 s to 3 s of these colours, `moved` by the part of the path's length that lies behind. */
  function along(moved: (part: number, k: number) => Uv1976, count = 21, parameters = {}) {
    const [first, last] = [uvAt(1), uvAt(3)];
    const colour = Array.from({ length: count }, (_, k) => {
      const at = 1 + (2 * k) / (count - 1);
      const uv = uvAt(at);
      const off = moved(deltaUv(uv, first) / deltaUv(last, first), k);
      return reading(xyToXyz(uv1976ToXy({ u: uv.u + off.u, v: uv.v + off.v }), 10), at, {
        standardXy: k === 3 ? 2e-3 : 1e-3,
      });
    });
    return { ...base, colour, parameters: { ...base.parameters, ...parameters } };
  }

  it('may be moved, more at one end than at the other', () => {
    const moved = (part: number) => ({
      u: 0.004 * (1 - part),
      v: 0.003 * part - 0.004 * (1 - part),
    });
    expect(found(pathDeviation, along(moved)).value).toBeLessThan(2e-5);
    expect(found(pathDeviation, along(moved, 5)).value).toBeLessThan(2e-4);
  });

  it('has its farthest reading, where it was, and the largest error of them', () => {
    const [first, last] = [uvAt(1), uvAt(3)];
    const whole = deltaUv(first, last);
    const across = {
      u: (-0.003 * (last.v - first.v)) / whole,
      v: (0.003 * (last.u - first.u)) / whole,
    };
    const { value, evidence, contributions } = found(
      pathDeviation,
      along((_, k) => (k === 8 ? across : { u: 0, v: 0 })),
    );
    expect(value).toBeCloseTo(0.003, 5);
    expect(evidence.notes).toEqual({ at: expect.closeTo(1.8, 9) });
    expect(evidence.charts).toHaveLength(1);
    expect(contributions).toHaveLength(1);
    expect(contributions[0]?.name).toBe('colour sensor');
    // One reading in 21 states twice the error of the others, of about 0.8 for each in x and y.
    expect(contributions[0]?.standard).toBeGreaterThan(1.2e-3);
  });

  it.each([{}, { path: 'straight' }])(
    'ends where it ends: what lies beyond is off it, %j',
    (parameters) => {
      const [first, last] = [uvAt(1), uvAt(3)];
      const ahead = (uv: Uv1976, factor: number, from: Uv1976) => ({
        u: from.u + factor * (last.u - first.u) - uv.u,
        v: from.v + factor * (last.v - first.v) - uv.v,
      });
      const at10 = uvAt(2);
      const beyond = along(
        (_, k) => (k === 10 ? ahead(at10, 0.25, last) : { u: 0, v: 0 }),
        21,
        parameters,
      );
      const before = along(
        (_, k) => (k === 10 ? ahead(at10, -0.25, first) : { u: 0, v: 0 }),
        21,
        parameters,
      );
      const quarter = 0.25 * deltaUv(first, last);
      expect(found(pathDeviation, beyond).value).toBeCloseTo(quarter, 5);
      expect(found(pathDeviation, before).value).toBeCloseTo(quarter, 5);
    },
  );

  it('may be a point', () => {
    const still = read(
      pathDeviation,
      Array.from({ length: 6 }, (_, k) => reading(xyToXyz(cool, 10), 0.5 + k / 2)),
    );
    expect(found(pathDeviation, still).value).toBeCloseTo(0, 9);
  });

  it('needs five readings, and light in all of it', () => {
    expect(
      refused(
        pathDeviation,
        along(() => ({ u: 0, v: 0 }), 4),
      ),
    ).toMatchObject({
      reason: 'too-short',
      found: 4,
      needed: 5,
      unit: '1',
      note: 'colour readings',
    });
    const parted = [
      {
        ...white,
        segments: steps([
          [1, 2],
          [0, 2],
        ]),
      },
    ];
    const lit = Array.from({ length: 6 }, (_, k) => reading(xyToXyz(warm, 10), 0.5 + k / 2));
    expect(refused(pathDeviation, read(pathDeviation, lit, {}, parted))).toMatchObject({
      reason: 'out-of-domain',
      note: 'no light is commanded in part of the window',
    });
  });
});

describe('tracking over dimming', () => {
  /** A second at each level, dark ones too; its colours, three readings in the settled half. */
  function dimmed(levels: readonly number[], colours: readonly Xy[], scatter = 0) {
    const colour = levels.flatMap((level, k) =>
      [0.6, 0.75, 0.9].map((part, n) => {
        const { x = 0.4, y = 0.4 } = colours[k] ?? {};
        return reading(
          xyToXyz({ x: x + (n - 1) * scatter * (k + 1), y }, 10 * (level || 1)),
          k + part,
          {
            standardXy: 1e-4,
            ...(level === 0 && { state: 'under-range' as const }),
          },
        );
      }),
    );
    const segments = steps(levels.map((level) => [level, 1] as const));
    return read(cctTracking, colour, {}, [{ ...white, segments }]);
  }
  const kelvin = (xy: Xy) => xyToCctOhno2013(xy)?.cct ?? 0;
  const near = { x: 0.452, y: 0.409 };
  const far = { x: 0.44, y: 0.405 };

  it('starts at the brightest level, wherever it is, and leaves dark ones out', () => {
    const { value, evidence } = found(
      cctTracking,
      dimmed([0.2, 1, 0, 0.5], [far, warm, warm, near]),
    );
    expect(value).toBeCloseTo(Math.abs(kelvin(far) - kelvin(warm)), 6);
    expect(evidence.notes).toEqual({ at: 0, level: 0.2, there: expect.closeTo(kelvin(far), 6) });
    expect(evidence.charts).toEqual([
      {
        kind: 'curve',
        title: cctTracking.title,
        x: { label: 'commanded level', unit: '1', scale: 'log' },
        y: { label: 'measured', unit: 'K', scale: 'linear' },
        lines: [
          {
            name: 'measured',
            role: 'measured',
            x: [0.2, 0.5, 1],
            y: [far, near, warm].map((xy) => expect.closeTo(kelvin(xy), 6)),
          },
        ],
        marks: [],
      },
    ]);
  });

  it('has a floor of twice the largest scatter, and counts that another level may be farther off', () => {
    const scattered = dimmed([1, 0.5, 0.2], [warm, far, near], 4e-4);
    const { value, contributions, floor = 0 } = found(cctTracking, scattered);
    const noises = contributions.filter(({ isNoise }) => isNoise).map(({ standard }) => standard);
    expect(noises).toHaveLength(2);
    // The third level scatters three times as much in x as the first, and about as much in K for each step of x.
    expect(floor / 2 / (3 * (noises[1] ?? 0))).toBeGreaterThan(0.8);
    expect(floor / 2 / (3 * (noises[1] ?? 0))).toBeLessThan(1.25);
    const offNear = Math.abs(kelvin(near) - kelvin(warm));
    const reach = Math.max(value + 2 * (noises[0] ?? 0), offNear + floor);
    const other = parts({ ...found(cctTracking, scattered) })['scatter of the other levels'] ?? 0;
    expect(other / ((reach - value) / 2)).toBeGreaterThan(0.9);
    expect(other / ((reach - value) / 2)).toBeLessThan(1.1);
    const quiet = dimmed([1, 0.5], [warm, far]);
    const none = quiet.colour.map(({ standardXy: _, ...rest }) => rest);
    expect(found(cctTracking, { ...quiet, colour: none }).floor).toBeCloseTo(0, 6);
  });
});
