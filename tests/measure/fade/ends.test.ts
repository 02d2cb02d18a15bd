import { describe, expect, it } from 'vitest';
import { fadeEnds } from '../../../harness/measure/features/fade/fade-ends.ts';
import { type FadeModel, fadeModel } from '../../../harness/measure/features/fade/fade-model.ts';
import { observedFade } from '../../../harness/measure/features/fade/observed-fade.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { isMeasurable } from '../../../harness/measure/outcome.ts';
import { hannMeanOfFunction, hannNoise } from '../../../harness/measure/signal/hann.ts';
import { fade, observe, recordOf } from '../lamp-of.ts';

type Way = (t: number) => number;

interface Made {
  readonly noise?: number;
  readonly linear?: boolean;
  readonly levels?: readonly [number, number];
}

const width = 0.04;

/** The ends of a fade between 0.5 s and 1.5 s whose light goes its own way (0..1). */
function ends(way: Way, { noise = 0, linear = false, levels: [from, to] = [1, 0.1] }: Made = {}) {
  const light = (t: number) =>
    linear ? from + (to - from) * way(t) : from * (to / from) ** way(t);
  const waveform = recordOf(light, 2.3, { rate: 1000, noise });
  const segments = fade(from, to, 1, { before: 0.5, after: 0.8 });
  const made = observe(fadeDuration, [{ channel: 'warm', segments, waveform }], 'warm');
  const curve = linear ? ({ kind: 'linear' } as const) : made.commanded.curve;
  const observed = observedFade({
    ...made,
    commanded: { ...made.commanded, curve } as typeof made.commanded,
  });
  if (!isMeasurable(observed)) throw new Error(JSON.stringify(observed));
  const found = fadeEnds(observed, width);
  const { start, end } = observed.fit;
  return { ...found, leaves: start + found.startShift, arrives: end + found.endShift };
}

const straight: Way = (t) => Math.min(1, Math.max(0, t - 0.5));
/** Its first and last twentieth take 0.1 s each. */
const creeping: Way = (t) => {
  if (t < 0.6) return 0.5 * Math.max(0, t - 0.5);
  return t < 1.4 ? 0.05 + (0.9 * (t - 0.6)) / 0.8 : Math.min(1, 0.95 + 0.5 * (t - 1.4));
};

const kinds: readonly (readonly [string, Made])[] = [
  ['down on the curve', {}],
  ['up on the curve', { levels: [0.1, 1] }],
  ['down in light', { linear: true }],
  ['up in light', { linear: true, levels: [0.1, 1] }],
];

describe.each(kinds)('the ends of a fade %s', (_, made) => {
  it('are those of its line where it is straight', () => {
    const { startShift, endShift } = ends(straight, made);
    expect(Math.abs(startShift)).toBeLessThan(5e-4);
    expect(Math.abs(endShift)).toBeLessThan(5e-4);
  });

  it('are where it really leaves and arrives', () => {
    const { startShift, endShift, leaves, arrives } = ends(creeping, made);
    expect(startShift).toBeLessThan(-0.02);
    expect(endShift).toBeGreaterThan(0.02);
    expect(Math.abs(leaves - 0.5)).toBeLessThan(0.008);
    expect(Math.abs(arrives - 1.5)).toBeLessThan(0.008);
  });

  it('heed no blip on a plateau that is smaller than what counts as under way for good', () => {
    // 1 % of the way: more than the 0.5 % that is looked for, less than three times as much.
    const blip = (at: number) => (t: number) => (Math.abs(t - at) < 0.03 ? 0.01 : 0);
    const { leaves, arrives } = ends((t) => creeping(t) + blip(0.38)(t) - blip(1.75)(t), made);
    expect(Math.abs(leaves - 0.5)).toBeLessThan(0.012);
    expect(Math.abs(arrives - 1.5)).toBeLessThan(0.012);
  });
});

describe('noise', () => {
  it('leaves open a share of the way at either end, by its size against the light there', () => {
    const noise = 0.002;
    const one = (hannNoise * noise) / Math.sqrt(width * 1000);
    const curve = ends(creeping, { noise }).standardShare;
    expect(curve / ((one * Math.hypot(1, 10)) / Math.LN10)).toBeGreaterThan(0.85);
    expect(curve / ((one * Math.hypot(1, 10)) / Math.LN10)).toBeLessThan(1.15);
    const light = ends(creeping, { noise, linear: true }).standardShare;
    expect(light / ((one * Math.SQRT2) / 0.9)).toBeGreaterThan(0.85);
    expect(light / ((one * Math.SQRT2) / 0.9)).toBeLessThan(1.15);
  });

  it('hides an end where three times what stands out of it is a quarter of the way', () => {
    // 18 standard deviations of the averages are a quarter of ln 10 at 0.1 lx at 0.0165 lx a sample.
    const quiet = ends(creeping, { noise: 0.002 });
    expect(quiet.endShift).toBeGreaterThan(0.02);
    const noisy = ends(creeping, { noise: 0.019 });
    expect(noisy.endShift).toBe(0);
    expect(noisy.startShift).not.toBe(0);
  });
});

describe('the model of a fade', () => {
  const [start, duration] = [1, 2];
  const plateaus = { startLevel: 1, endLevel: 0.1, startPlateau: 1, endPlateau: 0.1 };
  const model = (
    course: (part: number) => number,
    isStraight: boolean,
    logarithmic = true,
  ): FadeModel =>
    fadeModel(
      { course, straight: isStraight, logarithmic } as Parameters<typeof fadeModel>[0],
      plateaus,
      { start, duration },
    );

  it.each([
    ['straight', (part: number) => part, true],
    ['bent', (part: number) => part ** 2, false],
  ] as const)('has the means of its own levels: %s', (_, course, isStraight) => {
    const bent = model(course, isStraight);
    // Wholly before, over the start, within, over the end, behind; and another width between them.
    for (const wide of [0.2, 0.5, 0.2])
      for (const at of [0.5, 0.88, 0.95, 1, 1.3, 2, 2.7, 2.95, 3.05, 3.3])
        expect(bent.meanAt(at, wide), `${at} s`).toBeCloseTo(
          hannMeanOfFunction((t) => bent.levelAt(t), at, wide),
          6,
        );
  });
});
