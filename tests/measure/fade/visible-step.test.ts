import { describe, expect, it } from 'vitest';
import { largestVisibleStep } from '../../../harness/measure/metrics/fade/largest-visible-step.ts';
import type { Segment } from '../../../harness/measure/observation.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { fade, lengthOf, levelAt, observe, recordOf, steps } from '../lamp-of.ts';
import { outcome, standardOf } from './quick-fade.ts';

/** Averages of 50 ms at 1 kS/s: eight parts of 6 samples. */
const width = 0.048;

interface Made {
  readonly noise?: number;
  readonly instant?: number;
  readonly rate?: number;
  readonly parameters?: Readonly<Record<string, number>>;
}

/** Light as commanded times a factor over time. */
function stepping(
  segments: readonly Segment[],
  factor: (t: number) => number,
  { noise = 0, instant, rate = 1000, parameters = {} }: Made = {},
) {
  const light = (t: number) => levelAt(segments, t) * factor(t);
  const waveform = recordOf(light, lengthOf(segments), { rate, noise });
  const made = observe(largestVisibleStep, [{ channel: 'warm', segments, waveform }], 'warm', {
    parameters,
  });
  return instant === undefined
    ? made
    : { ...made, commanded: { ...made.commanded, standardInstant: instant } };
}

const steady = steps([[0.5, 2]]);
const once =
  (size: number, at = 1) =>
  (t: number) =>
    t < at ? 1 : 1 + size;

describe('a step of steady light', () => {
  it.each([0.05, -0.05])('of %f is as large as it is, and where it is', (size) => {
    const made = outcome(largestVisibleStep, stepping(steady, once(size)));
    // Down, the change of the logarithm is larger than the step.
    expect(made.value).toBeCloseTo(Math.expm1(Math.abs(Math.log1p(size))), 3);
    const { at, ...notes } = made.evidence.notes;
    expect(Number(at)).toBeCloseTo(1, 1);
    expect(Math.abs(Number(at) - 1)).toBeLessThan(0.01);
    expect(notes).toEqual({ 'part-seen': 1 });
    const [light, steps] = made.evidence.charts;
    expect(light?.lines.map(({ role }) => role)).toEqual(['commanded', 'measured']);
    expect(steps?.lines.map(({ name }) => name)).toContain('beyond the ideal');
    expect(standardOf(made, 'place of the averages')).toBeCloseTo(
      0.0018 * Math.abs(Math.log1p(size)),
      6,
    );
    expect(standardOf(made, 'slope of the fitted fade')).toBe(0);
    expect(standardOf(made, 'step within the fitted fade')).toBe(0);
    expect(standardOf(made, 'instant of the command')).toBe(0);
  });

  it('is smoothed over the time that is asked for', () => {
    // A ramp of 10 % in 100 ms: within 20 ms it is a fifth of that, within 50 ms half.
    const ramp = (t: number) => 1 + 0.1 * Math.min(1, Math.max(0, (t - 1) / 0.1));
    const of = (smoothing: number) =>
      outcome(largestVisibleStep, stepping(steady, ramp, { parameters: { smoothing } })).value;
    // From one average to the next: 24 ms and 48 ms, by whole samples.
    expect(of(0.02)).toBeCloseTo(0.024, 2);
    expect(of(0.05)).toBeCloseTo(0.046, 2);
    expect(of(0.05) - of(0.02)).toBeGreaterThan(0.02);
  });

  it('stands out of the noise of two averages, or that is its floor', () => {
    const noise = 0.01;
    const one = (hannNoise * noise) / Math.sqrt(width * 1000) / 0.5;
    const made = outcome(largestVisibleStep, stepping(steady, once(0.1), { noise }));
    const [first] = made.contributions;
    expect(first).toMatchObject({ name: 'noise of the averages', isNoise: true });
    expect(Number(first?.standard) / (Math.SQRT2 * one)).toBeGreaterThan(0.85);
    expect(Number(first?.standard) / (Math.SQRT2 * one)).toBeLessThan(1.15);
    expect(made.floor).toBe(made.value);
    const quiet = outcome(
      largestVisibleStep,
      stepping(steady, () => 1, { noise: 1e-3 }),
    );
    expect(quiet.floor).toBe(Math.max(quiet.value, 2 * standardOf(quiet, 'noise of the averages')));
  });
});

describe('light that is no step', () => {
  it('is darkness that nobody has ordered light for', () => {
    expect(largestVisibleStep.compute(stepping(steps([[0, 2]]), () => 1))).toEqual({
      ...{ measured: false, reason: 'dark', note: 'no light is commanded in the window' },
    });
  });

  it('is what noise would move by more than is allowed in more than a quarter of the time', () => {
    const one = (hannNoise * 0.01) / Math.sqrt(width * 1000);
    // 1.2 s of light that is bright enough, then dimmer light.
    const dim = steps([
      [1, 1.2],
      [0.02, 0.8],
    ]);
    const limit = { 'visible-noise': 5 * one };
    expect(
      largestVisibleStep.compute(stepping(dim, () => 1, { noise: 0.01, parameters: limit })),
    ).toEqual({
      ...{ measured: false, reason: 'below-noise', needed: 0.75, unit: '1' },
      found: expect.closeTo(0.61, 1),
      note: 'part of the window that rises above the noise',
    });
    const usual = largestVisibleStep.compute(stepping(dim, () => 1, { noise: 0.01 }));
    expect(usual).toMatchObject({ measured: false, reason: 'below-noise' });
  });

  it('is what is sampled less than eight times within the smoothing', () => {
    expect(largestVisibleStep.compute(stepping(steady, () => 1, { rate: 155 }))).toEqual({
      ...{ measured: false, reason: 'too-slow', found: 155, needed: 160, unit: 'Hz' },
    });
    expect(largestVisibleStep.compute(stepping(steady, () => 1, { rate: 160 })).measured).toBe(
      true,
    );
  });
});

describe('a step within a fade', () => {
  const seconds = 1;
  const segments = fade(1, 0.1, seconds, { before: 0.5, after: 0.5 });

  it('gives back half of what the fitted line takes of it, and leaves as much open', () => {
    const made = outcome(largestVisibleStep, stepping(segments, once(-0.08)));
    const given = (0.8 * width) / seconds;
    const beyond = Math.log1p(made.value) / (1 + given);
    expect(standardOf(made, 'step within the fitted fade') / beyond).toBeCloseTo(0.85 * given, 2);
    expect(
      Math.abs(standardOf(made, 'step within the fitted fade') - 0.85 * given * beyond),
    ).toBeLessThan(1e-4);
    // The step is within what is open.
    const open = 2 * standardOf(made, 'step within the fitted fade');
    expect(Math.abs(made.value - Math.expm1(-Math.log1p(-0.08)))).toBeLessThan(open);
  });

  it('is known no better than the slope of the fade', () => {
    // A bend of the fade makes its line uncertain; within one smoothing it goes by 0.048 ln 10.
    const bend = (t: number) => 1 + 0.1 * Math.sin(2 * Math.PI * Math.min(1, Math.max(0, t - 0.5)));
    const made = outcome(largestVisibleStep, stepping(segments, bend));
    const slope = standardOf(made, 'slope of the fitted fade') / (width * Math.LN10);
    // Least squares of that sine against a line, in points that are not all new ones.
    expect(slope).toBeGreaterThan(0.005);
    expect(slope).toBeLessThan(0.05);
    expect(
      standardOf(
        outcome(
          largestVisibleStep,
          stepping(segments, () => 1),
        ),
        'slope of the fitted fade',
      ),
    ).toBeLessThan(1e-4);
  });

  it('does not depend on the instant of its command, but one of a fade cut short does', () => {
    const whole = outcome(
      largestVisibleStep,
      stepping(segments, () => 1, { instant: 0.01 }),
    );
    expect(standardOf(whole, 'instant of the command')).toBe(0);
    // Down for 1 s, and up again for 2 s: there is no one fade to fit.
    const cut = [
      { from: 0, to: 0.5, startLevel: 1, endLevel: 1 },
      { from: 0.5, to: 1.5, startLevel: 1, endLevel: 0.1 },
      { from: 1.5, to: 3.5, startLevel: 0.1, endLevel: 1 },
    ];
    const made = outcome(
      largestVisibleStep,
      stepping(cut, () => 1, { instant: 0.01 }),
    );
    // The steeper goes by 0.048 ln 10 within one smoothing; the shorter takes 1 s.
    expect(standardOf(made, 'instant of the command')).toBeCloseTo(
      (Math.SQRT2 * 0.01 * width * Math.LN10) / 1,
      4,
    );
    // Where the instant is known no better than that, the whole slope is open.
    const open = outcome(
      largestVisibleStep,
      stepping(cut, () => 1, { instant: 2 }),
    );
    expect(standardOf(open, 'instant of the command')).toBeCloseTo(
      Math.SQRT2 * width * Math.LN10,
      2,
    );
  });
});
