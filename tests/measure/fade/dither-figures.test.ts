import { describe, expect, it } from 'vitest';
import { visibleModulation } from '../../../harness/measure/features/fade/visible-modulation.ts';
import { leastPassed } from '../../../harness/measure/features/flicker/passed-share.ts';
import { ditherRate, ditherVisibility } from '../../../harness/measure/metrics/fade/dither.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { observing, sampled, withNoise } from '../light-of.ts';
import { outcome, standardOf } from './quick-fade.ts';

const [mean, rate, seconds] = [50, 3000, 2];
type Tone = readonly [frequency: number, depth: number];

/** Two seconds of steady light that alternates. */
function alternating(
  tones: readonly Tone[],
  rest: Partial<Waveform> = {},
  long = seconds,
): Waveform {
  return sampled(
    (t) => mean * tones.reduce((sum, [f, depth]) => sum + depth * Math.sin(2 * Math.PI * f * t), 1),
    rate,
    long,
    rest,
  );
}

const dark = { slow: 0, lines: [], drift: 0 };

describe('the rate of dithering', () => {
  it('is that of the line, to a tenth of what the record resolves', () => {
    const made = outcome(ditherRate, observing(ditherRate, alternating([[25, 0.01]])));
    expect(made.value).toBeCloseTo(25, 3);
    expect(made.evidence.notes).toEqual({
      amplitude: expect.closeTo(0.01, 5),
      mean: expect.closeTo(mean, 2),
    });
    expect(made.evidence.charts.length).toBe(1);
    expect(made.contributions).toEqual([{ name: 'frequency resolution', standard: 0.1 / seconds }]);
  });

  it('is that of the slowest change that is large enough', () => {
    const both = alternating([
      [25, 0.001],
      [71, 0.01],
    ]);
    expect(outcome(ditherRate, observing(ditherRate, both)).value).toBeCloseTo(71, 2);
    const least = observing(ditherRate, both, { least: 5e-4 });
    expect(outcome(ditherRate, least).value).toBeCloseTo(25, 2);
  });

  it('is none where nothing changes by so much', () => {
    const weak = withNoise(alternating([[25, 0.0015]]), 1e-3);
    expect(ditherRate.compute(observing(ditherRate, weak))).toEqual({
      ...{ measured: false, reason: 'no-periodicity', note: 'no regular change of that size' },
    });
  });

  it('is lost in noise that falls with frequency where six standard deviations of it reach the line', () => {
    // Either quadrature of a line of 0.5 lx has √(2 S / (f T)): six of it at S = 0.17 lx².
    const slow = (0.5 / 6) ** 2 * ((25 * seconds) / 2);
    const beside = (part: number) =>
      observing(ditherRate, alternating([[25, 0.01]], { dark: { ...dark, slow: part * slow } }));
    expect(ditherRate.compute(beside(1.1))).toEqual({
      ...{ measured: false, reason: 'below-noise', needed: 0.002, unit: '1' },
      found: expect.closeTo(0.01, 4),
      note: 'noise that falls with frequency may be the slowest change of that size',
    });
    expect(outcome(ditherRate, beside(0.9)).value).toBeCloseTo(25, 2);
  });

  it('is not told where codes may hide a slower change', () => {
    const hidden = (step: number, tones: readonly Tone[]) =>
      ditherRate.compute(observing(ditherRate, alternating(tones, { step })));
    const refused = {
      ...{ measured: false, reason: 'below-noise', needed: 0.002, unit: '1' },
      note: 'noise, codes or a short record may hide a slower change of that size',
    };
    // A square wave of half a step has 2/π of a step, of which a sample's mean leaves least below half the rate.
    const of = (step: number, fastest: number) =>
      ((2 / Math.PI) * step) / mean / leastPassed({ rate }, fastest);
    expect(hidden(0.2, [])).toEqual({
      ...refused,
      found: expect.closeTo(of(0.2, rate / 2 - 2), 4),
    });
    // Only what is slower than the line counts, but for its lobe of four bins.
    expect(hidden(0.2, [[725, 0.01]])).toEqual({
      ...refused,
      found: expect.closeTo(of(0.2, 723), 5),
    });
    expect(hidden(0.2, [[725, 0.01]])).not.toMatchObject({
      found: expect.closeTo(of(0.2, 1498), 5),
    });
    expect(hidden(0.15, [[25, 0.01]])).toMatchObject({ measured: true });
  });
});

describe('the visibility of dithering', () => {
  it('is its depth against the modulation of low risk', () => {
    const made = outcome(ditherVisibility, observing(ditherVisibility, alternating([[25, 0.001]])));
    expect(made.value).toBeCloseTo(0.001 / (0.00025 * 25), 4);
    expect(made.evidence.notes).toEqual({
      frequency: expect.closeTo(25, 2),
      mean: expect.closeTo(mean, 2),
    });
    expect(made.evidence.charts.length).toBe(1);
    expect(made.contributions.map(({ name }) => name)).toEqual([
      'noise at the line',
      'averaging and bandwidth',
      'components folded down',
      'tones not told apart',
      'frequency against the limit',
    ]);
  });

  it('does not heed what is faster than 1250 Hz', () => {
    const made = outcome(ditherVisibility, observing(ditherVisibility, alternating([[1300, 0.1]])));
    expect(made.value).toBe(0);
    expect(made.evidence.notes['frequency']).toBe(0);
    expect(standardOf(made, 'noise at the line')).toBe(0);
    const slower = outcome(
      ditherVisibility,
      observing(ditherVisibility, alternating([[1240, 0.1]])),
    );
    expect(slower.value).toBeCloseTo(0.1 / (0.0008 * 1240), 2);
  });

  it('is as uncertain as noise makes one line', () => {
    const noise = 0.1;
    const noisy = withNoise(alternating([[25, 0.01]]), noise);
    const made = outcome(ditherVisibility, observing(ditherVisibility, noisy));
    const expected = (2 * noise) / Math.sqrt(rate * seconds) / mean / visibleModulation(25);
    expect(made.contributions[0]).toMatchObject({ name: 'noise at the line', isNoise: true });
    expect(standardOf(made, 'noise at the line') / expected).toBeGreaterThan(0.9);
    expect(standardOf(made, 'noise at the line') / expected).toBeLessThan(1.1);
  });

  it('may be what noise or codes hide, most where the limit is least', () => {
    const steady = withNoise(alternating([]), 0.02);
    const made = outcome(ditherVisibility, observing(ditherVisibility, { ...steady, step: 0.2 }));
    expect(made.value).toBe(0);
    // From 3 Hz on; noise of a tenth of a step spreads the codes by exp(-2 π²/100).
    const least = ((2 / Math.PI) * 0.2) / mean / visibleModulation(3);
    expect(made.floor).toBeGreaterThan(0.75 * least);
    expect(made.floor).toBeLessThan(1.5 * least);
  });
});
