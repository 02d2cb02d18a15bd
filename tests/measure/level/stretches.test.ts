import { describe, expect, it } from 'vitest';
import { largestChange } from '../../../harness/measure/features/level/largest-change.ts';
import { steadyStretches } from '../../../harness/measure/features/level/plateaus.ts';
import { sweepIn } from '../../../harness/measure/features/level/sweep.ts';
import { levelRatio } from '../../../harness/measure/metrics/level/level-ratio.ts';
import type { Segment } from '../../../harness/measure/observation.ts';
import { isMeasurable } from '../../../harness/measure/outcome.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { lengthOf, levelAt, observe, recordOf, steps } from '../lamp-of.ts';

const observed = (segments: readonly Segment[], change = {}) =>
  observe(levelRatio, [{ channel: 'warm', segments }], 'warm', change);

describe('steady stretches', () => {
  it('are those of one level, whatever marks or repeated commands cut them', () => {
    expect(
      steadyStretches(
        observed(
          steps([
            [1, 1],
            [1, 1],
            [0.5, 1],
          ]),
        ),
      ),
    ).toEqual([
      { from: 0, to: 2 },
      { from: 2, to: 3 },
    ]);
  });

  it('end where a fade begins, and at the ends of the window', () => {
    const segments = [
      { from: 0, to: 1, startLevel: 1, endLevel: 1 },
      { from: 1, to: 2, startLevel: 1, endLevel: 0.5 },
      { from: 2, to: 3, startLevel: 0.5, endLevel: 0.5 },
    ];
    expect(steadyStretches(observed(segments))).toEqual([
      { from: 0, to: 1 },
      { from: 2, to: 3 },
    ]);
    expect(steadyStretches(observed(segments, { window: { from: 0.5, to: 2.5 } }))).toEqual([
      { from: 0.5, to: 1 },
      { from: 2, to: 2.5 },
    ]);
    expect(steadyStretches(observed(segments, { window: { from: 1, to: 2 } }))).toEqual([]);
  });
});

describe('a sweep', () => {
  const swept = (
    levels: readonly number[],
    light = (level: number) => 2 * level,
    noise = 0,
    fewest = 2,
  ) => {
    const segments = steps(levels.map((level) => [level, 1] as const));
    const really = (t: number) => light(levelAt(segments, t));
    const waveform = recordOf(really, lengthOf(segments), { rate: 200, noise });
    return sweepIn(observe(levelRatio, [{ channel: 'warm', segments, waveform }], 'warm'), fewest);
  };

  it('is held against its brightest level, wherever that comes', () => {
    for (const levels of [
      [0.1, 1, 0.5],
      [1, 0.5, 0.1],
      [0.5, 0.1, 1],
    ]) {
      const found = swept(levels);
      if (!isMeasurable(found)) throw new Error(found.note);
      expect(found.levels.map(({ measured }) => measured)).toEqual(
        levels.map((level) => expect.closeTo(level, 9)),
      );
      expect(found.levels.map(({ at }) => at)).toEqual([0, 1, 2]);
    }
  });

  it('leaves out what is commanded dark', () => {
    const found = swept([1, 0, 0.5]);
    if (!isMeasurable(found)) throw new Error(found.note);
    expect(found.levels.map(({ commanded }) => commanded)).toEqual([1, 0.5]);
    expect(swept([1, 0])).toEqual({
      measured: false,
      reason: 'out-of-domain',
      found: 1,
      needed: 2,
      unit: '1',
      note: 'steady levels',
    });
  });

  it('knows the brightest by definition, and the others by the scatter of both', () => {
    const found = swept([1, 0.5], undefined, 0.01);
    if (!isMeasurable(found)) throw new Error(found.note);
    const [full, half] = found.levels;
    const [own, other] = found.plateaus;
    expect(full?.standard).toBe(0);
    const relative = Math.hypot(
      (own?.standard ?? 0) / (own?.level ?? 1),
      (other?.standard ?? 0) / (other?.level ?? 1),
    );
    expect(half?.standard).toBeCloseTo((half?.measured ?? 0) * relative, 12);
  });

  it('says whose it is that a level shows no light', () => {
    const only = (level: number) => (level < 1 ? 0 : 2);
    expect(swept([1, 0.5], only, 1e-4)).toEqual({
      measured: false,
      reason: 'dark',
      note: 'light of the level at 1 s',
    });
    const lost = swept([1, 0.001], only, 0.2);
    expect(lost).toMatchObject({
      reason: 'below-noise',
      found: expect.closeTo(0.001, 12),
      unit: '1',
      note: 'light of the level at 1 s',
    });
    expect(swept([1, 0.5], () => 0)).toEqual({
      measured: false,
      reason: 'below-noise',
      note: 'light of the level at 0 s',
    });
  });
});

describe('a step in noise', () => {
  it('is told from the longest stretches, less what noise makes of five of them (by hand)', () => {
    const values = Float64Array.from(
      { length: 40 },
      (_, k) => (k < 20 ? 9 : 11) + (k % 4 < 2 ? 0 : 0.01),
    );
    const mean = 10.005;
    const change = largestChange({ values, mean } as unknown as Parameters<
      typeof largestChange
    >[0]);
    // Second differences over two averages are 0.02; of eight half-overlapping averages 1.6 / 8 of the variance is left.
    const single = 0.02 / 0.6745 / Math.sqrt(6);
    const scatter = single * Math.sqrt(1.6 / 8);
    expect(change.sure * mean).toBeCloseTo(2 - 2 * largestOfNormals(5) * scatter, 9);
    expect(change.noise * mean).toBeCloseTo(scatter * (Math.SQRT2 + largestOfNormals(5)), 9);
    expect(change.most * mean).toBeCloseTo(2, 9);
    expect(change.ends).toBe(0);
  });
});
