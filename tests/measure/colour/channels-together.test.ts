import { describe, expect, it } from 'vitest';
import {
  deltaUv,
  xyToUv1976,
  xyToXyz,
  xyzToXy,
} from '../../../harness/measure/colorimetry/chromaticity.ts';
import { mix } from '../../../harness/measure/colorimetry/mixing.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { channelCrosstalk } from '../../../harness/measure/metrics/colour/channel-crosstalk.ts';
import { chromaticityExcursion } from '../../../harness/measure/metrics/colour/chromaticity-excursion.ts';
import { figure, reason } from '../current/current-of.ts';
import { type Made, observe, recordOf, steps } from '../lamp-of.ts';

const warmXy = [0.4578, 0.4101] as const;
const coolXy = [0.3123, 0.3283] as const;

/** Two channels of 600 lm, commanded at these levels for two seconds, whose currents (of 0.7 A) go as they are told to. */
function pair(
  metric: Metric,
  levels: readonly [number, number],
  courses: readonly [(t: number) => number, (t: number) => number],
  made: Made = {},
) {
  const channel = (name: string, k: 0 | 1, xy: readonly [number, number]) => ({
    channel: name,
    segments: steps([[levels[k], 2]]),
    waveform: recordOf((t) => 0.7 * courses[k](t), 2, { ...made, seed: k + 1 }),
    lumen: 600,
    xy,
  });
  return observe(metric, [channel('warm', 0, warmXy), channel('cool', 1, coolXy)], 'lamp');
}

const uvOfShares = (warm: number, cool: number) =>
  xyToUv1976(
    xyzToXy(
      mix([
        xyToXyz({ x: warmXy[0], y: warmXy[1] }, 600 * warm),
        xyToXyz({ x: coolXy[0], y: coolXy[1] }, 600 * cool),
      ]),
    ),
  );

describe('excursion of the colour over time', () => {
  it('is the distance from the mean that the sum of the nominal colours takes (CIE 15, additivity)', () => {
    // One second 10 % too much warm, one second 10 % too little: closed form from the tristimulus values.
    const course = (t: number) => (t < 1 ? 0.55 : 0.45);
    const found = figure(
      chromaticityExcursion,
      pair(chromaticityExcursion, [0.5, 0.5], [course, () => 0.5]),
    );
    const mean = uvOfShares(0.5, 0.5);
    const ends = [0.55, 0.45].map((warm) => deltaUv(uvOfShares(warm, 0.5), mean));
    expect(found).toBeCloseTo(Math.max(...ends), 4);
    expect(found).toBeGreaterThan(0.002);
  });

  it('is nothing where both channels swing alike, however much', () => {
    const course = (t: number) => 0.5 * (1 + 0.5 * Math.sin(2 * Math.PI * 3 * t));
    const found = figure(
      chromaticityExcursion,
      pair(chromaticityExcursion, [0.5, 0.5], [course, course]),
    );
    expect(found).toBeLessThan(1e-9);
  });

  it('grows by no more than noise, and states what noise may hide', () => {
    const made = { noise: 2e-4 };
    const outcome = chromaticityExcursion.compute(
      pair(chromaticityExcursion, [0.05, 0.05], [() => 0.05, () => 0.05], made),
    );
    if (!outcome.measured) throw new Error(outcome.reason);
    expect(outcome.floor).toBeGreaterThan(0);
    // 200 averages of normal noise: the largest lies within four deviations.
    expect(outcome.value).toBeLessThan(2 * (outcome.floor ?? 0));
  });

  it('says nothing where noise hides the colour for a part of the time', () => {
    const course = (t: number) => (t < 1.8 ? 0.5 : 1e-4);
    const noisy = pair(chromaticityExcursion, [0.5, 0.5], [course, course], { noise: 1e-3 });
    expect(reason(chromaticityExcursion, noisy)).toBe('below-noise');
  });

  it('calls a lamp without light dark', () => {
    const none = pair(chromaticityExcursion, [0.5, 0.5], [() => 0, () => 0], { noise: 1e-5 });
    expect(reason(chromaticityExcursion, none)).toBe('dark');
  });
});

describe('crosstalk', () => {
  it("is the dark channel's share of current over the lit one's", () => {
    const found = figure(
      channelCrosstalk,
      pair(channelCrosstalk, [0.8, 0], [() => 0.8, () => 0.008]),
    );
    expect(found).toBeCloseTo(0.01, 6);
  });

  it('states a floor, and no less than noise allows', () => {
    const observation = pair(channelCrosstalk, [1, 0], [() => 1, () => 0], { noise: 1e-3 });
    const outcome = channelCrosstalk.compute(observation);
    if (!outcome.measured) throw new Error(outcome.reason);
    expect(outcome.floor).toBeGreaterThan(1e-6);
    expect(outcome.floor).toBeLessThan(1e-3);
  });

  it('needs a dark channel beside a lit one, and light in the lit one', () => {
    const both = pair(channelCrosstalk, [1, 1], [() => 1, () => 1]);
    expect(reason(channelCrosstalk, both)).toBe('out-of-domain');
    const dead = pair(channelCrosstalk, [1, 0], [() => 0, () => 0], { noise: 1e-4 });
    expect(reason(channelCrosstalk, dead)).toBe('dark');
  });
});
