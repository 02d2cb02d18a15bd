import { describe, expect, it } from 'vitest';
import { driftOf } from '../../harness/record/drift.ts';
import { judgeTrend, type TrendSeries } from '../../harness/record/trend.ts';
import { groupTrends } from '../../harness/record/trend-groups.ts';

const tolerance = { lower: 1, upper: 3 };

function pointsOf(values: readonly (number | null)[], over: object = {}) {
  return values.map((value, k) => ({
    ...{ id: `${k}`, folder: `${k}`, started: `2026-03-0${k + 1}T00:00:00Z`, build: '1.0' },
    ...{ value, expanded: 0.01, ...tolerance, verdict: 'pass' as const, ...over },
  }));
}

const drift = (values: readonly (number | null)[], over: object = {}) =>
  driftOf(pointsOf(values, over));

describe('the drift of a series', () => {
  it('is the slope of a straight line times its steps, as a share of half the tolerance', () => {
    expect(drift([2, 2.1, 2.2, 2.3, 2.4])).toMatchObject({
      course: 'worse',
      isBeyondUncertainty: true,
    });
    expect(drift([2, 2.1, 2.2, 2.3, 2.4])?.change).toBeCloseTo(0.4, 12);
    expect(drift([2, 2.1, 2.2, 2.3, 2.4])?.share).toBeCloseTo(0.4, 12);
    expect(drift([2.4, 2.3, 2.2, 2.1, 2])?.course).toBe('better');
    expect(drift([2, 2, 2, 2])).toMatchObject({ change: 0, share: 0, course: 'level' });
  });

  it('is the median of the slopes of all pairs, computed by hand', () => {
    // Slopes of the pairs of 0, 1, 5, 3: 1, 5/2, 1, 4, 1, -2; in order -2, 1, 1, 1, 5/2, 4: the median is 1, over 3 steps.
    expect(drift([0, 1, 5, 3])?.change).toBe(3);
  });

  it('is hardly moved by one run that went astray', () => {
    const clean = [2, 2.01, 2.02, 2.03, 2.04, 2.05, 2.06, 2.07];
    const astray = clean.with(3, 50);
    expect(drift(astray)?.change).toBeCloseTo(drift(clean)?.change ?? 0, 2);
  });

  it('passes over a run without a value, and counts its step', () => {
    expect(drift([2, null, 2.2, 2.3, 2.4])?.change).toBeCloseTo(0.4, 12);
  });

  it('is not told of three values, nor of figures that no computer can subtract', () => {
    expect(drift([2, 2.1, 2.2, null])).toBeNull();
    expect(drift([1e308, -1e308, 1e308, -1e308, 1e308])).not.toMatchObject({ change: Number.NaN });
    expect(drift([])).toBeNull();
  });

  it('has no share of a tolerance without a width, and no course without a limit', () => {
    expect(drift([2, 3, 4, 5], { lower: 2, upper: 2 })).toMatchObject({
      share: null,
      course: 'worse',
    });
    expect(drift([2, 3, 4, 5], { lower: null, upper: null })).toMatchObject({
      share: null,
      course: null,
    });
  });

  it('says whether it is larger than the uncertainty of the difference: 3, 4, 5', () => {
    const points = pointsOf([0, 1, 2, 3, 4, 5]);
    const between = (a: number, b: number) =>
      driftOf(
        points.with(0, { ...points[0]!, expanded: a }).with(5, { ...points[5]!, expanded: b }),
      );
    expect(between(3, 4)?.isBeyondUncertainty).toBe(false);
    expect(between(3, 3.9)?.isBeyondUncertainty).toBe(true);
    expect(drift([1, 2, 3, 4], { expanded: null })?.isBeyondUncertainty).toBeNull();
  });
});

describe('groups of series', () => {
  const seriesOf = (
    spec: string,
    of: string,
    values: readonly number[],
    over: object = {},
  ): TrendSeries => ({
    ...{ metric: 'm', title: 'M', lamp: 'Alcove-6', spec, condition: '', repeat: 0, of },
    ...{ during: null, ordinal: 0, unit: 's', shown: 's', points: pointsOf(values, over) },
  });

  it('stand by the drift of their leading series, and their series by their own', () => {
    const trends = [
      seriesOf('few', 'a', [2, 9]),
      seriesOf('calm', 'a', [2, 2.01, 2.02, 2.03]),
      seriesOf('wild', 'a', [2, 2.02, 2.04, 2.06]),
      seriesOf('wild', 'b', [2, 2.2, 2.4, 2.6]),
      seriesOf('exact', 'a', [1, 1, 2, 2], { lower: 1, upper: 1 }),
      seriesOf('unlimited', 'a', [1, 2, 3, 4], { lower: null, upper: null }),
    ].map(judgeTrend);
    const groups = groupTrends(trends, 'claim');
    expect(groups.map(({ name }) => name)).toEqual(['exact', 'wild', 'calm', 'unlimited', 'few']);
    expect(groups[1]?.trends.map(({ series }) => series.of)).toEqual(['b', 'a']);
    expect(groups[1]?.leading.series.of).toBe('b');
  });

  it('keep lamps apart, and can be of metrics', () => {
    const one = seriesOf('a', 'a', [1, 2, 3, 4]);
    const trends = [one, { ...one, lamp: 'Alcove-9' }, { ...one, spec: 'b' }].map(judgeTrend);
    expect(groupTrends(trends, 'claim')).toHaveLength(3);
    expect(groupTrends(trends, 'metric').map(({ lamp, trends }) => [lamp, trends.length])).toEqual([
      ['Alcove-6', 2],
      ['Alcove-9', 1],
    ]);
  });
});
