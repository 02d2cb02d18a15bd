import { describe, expect, it } from 'vitest';
import {
  deltaUv,
  type Tristimulus,
  xyToUv1976,
  xyToXyz,
  xyzToXy,
} from '../../../harness/measure/colorimetry/chromaticity.ts';
import { mix } from '../../../harness/measure/colorimetry/mixing.ts';
import { uvOf } from '../../../harness/measure/features/colour/colour-course.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { channelCrosstalk } from '../../../harness/measure/metrics/colour/channel-crosstalk.ts';
import { channelRatioDrift } from '../../../harness/measure/metrics/colour/channel-ratio-drift.ts';
import { chromaticityExcursion } from '../../../harness/measure/metrics/colour/chromaticity-excursion.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { observe, steps } from '../lamp-of.ts';
import { found, refused } from '../well-formed.ts';

const rate = 2000;

interface Lamp {
  readonly channel: string;
  /** Commanded: level, seconds. */
  readonly asked: readonly (readonly [number, number])[];
  /** Part of its nominal current. */
  readonly really: (t: number) => number;
  readonly maxCurrent?: number;
  readonly noise?: number;
  readonly xy?: readonly [number, number];
}

function lamp(metric: Metric, channels: readonly Lamp[], change: Partial<Observation> = {}) {
  const seconds = channels[0]?.asked.reduce((sum, [, one]) => sum + one, 0) ?? 0;
  const made = channels.map(({ channel, asked, really, maxCurrent = 1, noise = 0, xy }, k) => {
    const random = deviates(seconds * rate, 7 + k, 0);
    const samples = Float64Array.from(
      { length: seconds * rate },
      (_, n) => maxCurrent * (really((n + 0.5) / rate) + noise * (random[n] ?? 0)),
    );
    const waveform = { samples, rate, start: 0, unit: 'A', clipped: 0 } as const;
    return { channel, segments: steps(asked), waveform, ...(xy && { xy }) };
  });
  const plain = observe(metric, made, 'lamp', change);
  const nominal = plain.commanded.channels.map((one, k) => ({
    ...one,
    maxCurrent: channels[k]?.maxCurrent ?? 1,
  }));
  return { ...plain, commanded: { ...plain.commanded, channels: nominal } };
}

const without = (observation: Observation, of: string): Observation => ({
  ...observation,
  records: observation.records.filter((record) => record.of !== of),
});

describe('crosstalk', () => {
  const lit = (channel: string, level: number, rest: Partial<Lamp> = {}): Lamp => ({
    channel,
    asked: [[level, 1]],
    really: () => level,
    ...rest,
  });

  it('is of nominal currents, of the brightest dark channel over the brightest lit one', () => {
    const { value, evidence } = found(
      channelCrosstalk,
      lamp(channelCrosstalk, [
        lit('warm', 0.4),
        lit('cool', 0.8, { maxCurrent: 0.5 }),
        lit('red', 0, { really: () => 0.008, maxCurrent: 2 }),
        lit('blue', 0, { really: () => 0.01, maxCurrent: 0.1 }),
      ]),
    );
    expect(value).toBeCloseTo(0.01 / 0.8, 9);
    expect(evidence).toEqual({ charts: [], notes: { into: 'blue', from: 'cool' } });
  });

  it('has the noise of the noisiest dark channel, over the lit one, and twice that as its floor', () => {
    // σ / √n of the mean, times what a Hann window adds (√1.5).
    const { contributions, floor = 0 } = found(
      channelCrosstalk,
      lamp(channelCrosstalk, [
        lit('warm', 0.5),
        lit('red', 0, { noise: 0.01, maxCurrent: 2 }),
        lit('blue', 0, { noise: 0.001 }),
      ]),
    );
    const [noise] = contributions;
    expect(contributions).toHaveLength(1);
    expect(noise?.name).toBe('scatter within the window');
    expect(noise?.isNoise).toBe(true);
    expect((noise?.standard ?? 0) / (0.01 / Math.sqrt(rate) / 0.5)).toBeGreaterThan(0.7);
    expect((noise?.standard ?? 0) / (0.01 / Math.sqrt(rate) / 0.5)).toBeLessThan(2);
    expect(floor).toBe(2 * (noise?.standard ?? 0));
  });

  it('says what it needs', () => {
    const pair = {
      reason: 'out-of-domain',
      note: expect.stringContaining('beside one that is lit'),
    };
    expect(refused(channelCrosstalk, lamp(channelCrosstalk, [lit('warm', 1)]))).toMatchObject(pair);
    expect(refused(channelCrosstalk, lamp(channelCrosstalk, [lit('warm', 0)]))).toMatchObject(pair);
    const off = lamp(channelCrosstalk, [lit('warm', 1, { really: () => 0 }), lit('red', 0)]);
    expect(refused(channelCrosstalk, off)).toMatchObject({
      reason: 'dark',
      note: 'warm is commanded and gives no light',
    });
    const both = lamp(channelCrosstalk, [lit('warm', 1), lit('red', 0)]);
    expect(refused(channelCrosstalk, without(both, 'warm')).reason).toBe('no-record');
    expect(refused(channelCrosstalk, without(both, 'red')).reason).toBe('no-record');
  });
});

describe('drift of the channel ratios', () => {
  const windows = { reference: { from: 0, to: 1 }, window: { from: 1, to: 2 } };
  const dimmed = (
    channel: string,
    [before, after]: readonly [number, number],
    [there, here]: readonly [number, number],
    noise = 0,
  ): Lamp => ({
    channel,
    asked: [
      [before, 1],
      [after, 1],
    ],
    really: (t) => (t < 1 ? there : here),
    noise,
  });
  const drift = (channels: readonly Lamp[]) => lamp(channelRatioDrift, channels, windows);

  it('divides each channel by its own command, and shows every one', () => {
    // Asked for 1/2, 1/4 and 1/8; gives 0.55, 0.25, 0.125: ratios 1.1, 1, 1 with a mean of 3.1/3.
    const { value, evidence } = found(
      channelRatioDrift,
      drift([
        dimmed('warm', [0.8, 0.4], [0.8, 0.44]),
        dimmed('red', [0.8, 0.2], [0.8, 0.2]),
        dimmed('blue', [0.4, 0.05], [0.4, 0.05]),
      ]),
    );
    const mean = 3.1 / 3;
    expect(value).toBeCloseTo(1.1 / mean - 1, 6);
    expect(evidence).toEqual({
      charts: [],
      notes: {
        'drift-warm': expect.closeTo(1.1 / mean - 1, 6),
        'drift-red': expect.closeTo(1 / mean - 1, 6),
        'drift-blue': expect.closeTo(1 / mean - 1, 6),
      },
    });
  });

  it('has the farthest channel as its value, above or below', () => {
    const { value } = found(
      channelRatioDrift,
      drift([
        dimmed('warm', [1, 0.5], [1, 0.4]),
        dimmed('red', [1, 0.5], [1, 0.525]),
        dimmed('blue', [1, 0.5], [1, 0.525]),
      ]),
    );
    expect(value).toBeCloseTo(1 - 0.8 / ((0.8 + 1.05 + 1.05) / 3), 6);
  });

  it('has the scatter of that channel in both windows', () => {
    const noise = 0.01;
    const { contributions } = found(
      channelRatioDrift,
      drift([
        dimmed('warm', [0.8, 0.2], [0.4, 0.15], noise),
        dimmed('red', [0.8, 0.2], [0.4, 0.1]),
        dimmed('blue', [0.8, 0.2], [0.4, 0.1]),
      ]),
    );
    // Ratio 0.15/(0.4/4) = 1.5 of a mean of 3.5/3; relative noise of both windows.
    const sigma = noise / Math.sqrt(rate);
    const expected = (1.5 / (3.5 / 3)) * Math.hypot(sigma / 0.15, sigma / 0.4);
    expect(contributions).toHaveLength(1);
    expect(contributions[0]?.isNoise).toBe(true);
    expect((contributions[0]?.standard ?? 0) / expected).toBeGreaterThan(0.7);
    expect((contributions[0]?.standard ?? 0) / expected).toBeLessThan(1.6);
  });

  it('leaves out a channel that is off in either window', () => {
    const { evidence } = found(
      channelRatioDrift,
      drift([
        dimmed('warm', [1, 0.5], [1, 0.5]),
        dimmed('red', [1, 0.5], [1, 0.5]),
        dimmed('off', [0, 0.5], [0, 0.5]),
        dimmed('out', [1, 0], [1, 0]),
      ]),
    );
    expect(Object.keys(evidence.notes)).toEqual(['drift-warm', 'drift-red']);
  });

  it('says what it needs', () => {
    const one = drift([dimmed('warm', [1, 0.5], [1, 0.5]), dimmed('out', [1, 0], [1, 0])]);
    expect(refused(channelRatioDrift, one)).toMatchObject({
      reason: 'out-of-domain',
      found: 1,
      needed: 2,
      unit: '1',
      note: 'channels lit',
    });
    const gone = [1, 2].map((k) => dimmed(`c${k}`, [1, 0.5], [1, 0]));
    expect(refused(channelRatioDrift, drift(gone))).toMatchObject({
      reason: 'dark',
      note: 'no channel is lit in the window',
    });
    const never = [1, 2].map((k) => dimmed(`c${k}`, [1, 0.5], [0, 0.5]));
    expect(refused(channelRatioDrift, drift(never)).note).toContain('c1 is dark there');
    const two = drift([1, 2].map((k) => dimmed(`c${k}`, [1, 0.5], [1, 0.5])));
    expect(refused(channelRatioDrift, without(two, 'c2')).reason).toBe('no-record');
    const before = { ...two, reference: { from: -2, to: -1 } };
    expect(refused(channelRatioDrift, before).measured).toBe(false);
  });
});

describe('the course of the mixed colour', () => {
  const warm = [0.4578, 0.4101] as const;
  const cool = [0.3123, 0.3283] as const;
  const full = (xy: readonly [number, number], share: number): Tristimulus =>
    xyToXyz({ x: xy[0], y: xy[1] }, 100 * share);
  const uvMixed = (a: number, b: number) =>
    xyToUv1976(xyzToXy(mix([full(warm, a), full(cool, b)])));
  const pair = (
    courses: readonly [(t: number) => number, (t: number) => number],
    {
      noise = 0,
      seconds = 2,
      currents = [1, 1],
      asked = [[0.5, seconds]],
      ...change
    }: {
      noise?: number;
      seconds?: number;
      currents?: readonly number[];
      asked?: readonly (readonly [number, number])[];
    } & Partial<Observation> = {},
  ) =>
    lamp(
      chromaticityExcursion,
      [warm, cool].map((xy, k) => ({
        channel: k ? 'cool' : 'warm',
        asked,
        really: courses[k ? 1 : 0],
        maxCurrent: currents[k] ?? 1,
        noise,
        xy,
      })),
      change,
    );

  it("has u' and v' as CIE 15 defines them", () => {
    // Equal energy, X = Y = Z: 4/19 and 9/19.
    expect(uvOf({ X: 1, Y: 1, Z: 1 })).toEqual({ u: 4 / 19, v: 9 / 19 });
  });

  it('takes each channel by its own nominal current', () => {
    const { value, evidence } = found(
      chromaticityExcursion,
      pair([(t) => (t < 1.5 ? 0.5 : 0.7), () => 0.5], { currents: [0.35, 1.4] }),
    );
    // Mean of a quarter of the time at 0.7.
    const mean = uvMixed(0.55, 0.5);
    expect(value).toBeCloseTo(deltaUv(uvMixed(0.7, 0.5), mean), 3);
    expect(evidence.notes).toEqual({
      at: expect.any(Number),
      "u'": expect.closeTo(mean.u, 3),
      "v'": expect.closeTo(mean.v, 3),
    });
    expect(Number(evidence.notes['at'])).toBeGreaterThan(1.5);
    expect(evidence.charts).toHaveLength(1);
  });

  it('averages over the smoothing, 20 ms where none is stated', () => {
    const swing = (t: number) => 0.5 + 0.1 * Math.sin(2 * Math.PI * 20 * t);
    const value = (parameters: Record<string, number>) =>
      found(chromaticityExcursion, { ...pair([swing, () => 0.5]), parameters }).value;
    // A Hann window of two whole periods of 50 ms has a zero there; one of 20 ms hardly sees the average.
    expect(value({ smoothing: 0.1 })).toBeLessThan(1e-4);
    expect(value({})).toBe(value({ smoothing: 0.02 }));
    expect(value({})).toBeGreaterThan(0.003);
  });

  it('scatters by as much as its noise says (realised)', () => {
    const noise = 2e-3;
    const { contributions, floor = 0 } = found(
      chromaticityExcursion,
      pair([() => 0.5, () => 0.3], { noise }),
    );
    expect(contributions).toHaveLength(1);
    expect(contributions[0]?.isNoise).toBe(true);
    // Finite differences of u'v' for 1 % more of each channel; a Hann mean over 40 samples keeps √(1.5/40) of the noise.
    const base = uvMixed(0.5, 0.3);
    const slope = Math.hypot(
      deltaUv(uvMixed(0.505, 0.3), base) / 0.005,
      deltaUv(uvMixed(0.5, 0.303), base) / 0.003,
    );
    const expected = slope * noise * Math.sqrt(1.5 / 40);
    expect((contributions[0]?.standard ?? 0) / expected).toBeGreaterThan(0.85);
    expect((contributions[0]?.standard ?? 0) / expected).toBeLessThan(1.15);
    expect(floor / (2 * expected)).toBeGreaterThan(0.85);
    expect(floor / (2 * expected)).toBeLessThan(1.3);
  });

  it('looks only where light is commanded', () => {
    const half: readonly (readonly [number, number])[] = [
      [0.5, 1],
      [0, 1],
    ];
    const lit = (t: number) => (t < 1.05 ? 0.5 : 0);
    const { value } = found(chromaticityExcursion, pair([lit, lit], { asked: half, noise: 1e-5 }));
    expect(value).toBeLessThan(1e-3);
  });

  it('says what it needs', () => {
    const steady = [() => 0.5, () => 0.5] as const;
    const short = (to: number) => pair(steady, { window: { from: 0.5, to } });
    expect(found(chromaticityExcursion, short(0.5601)).value).toBeCloseTo(0, 6);
    expect(refused(chromaticityExcursion, short(0.5501))).toMatchObject({
      reason: 'too-short',
      found: 4,
      needed: 5,
      unit: '1',
      note: 'averages with light',
    });
    const dark = pair([() => 0, () => 0], { noise: 1e-5 });
    expect(refused(chromaticityExcursion, dark)).toMatchObject({
      reason: 'dark',
      note: 'no channel gives light',
    });
    const parted = (t: number) => (t < 1.5 ? 0.5 : 1e-4);
    const hidden = refused(chromaticityExcursion, pair([parted, parted], { noise: 1e-3 }));
    expect(hidden).toMatchObject({
      reason: 'below-noise',
      needed: 1,
      unit: '1',
      note: 'part of the window that rises above the noise',
    });
    expect(hidden.found).toBeCloseTo(0.75, 1);
    expect(refused(chromaticityExcursion, without(pair(steady), 'cool')).reason).toBe('no-record');
    expect(refused(chromaticityExcursion, lamp(chromaticityExcursion, [])).measured).toBe(false);
  });
});
