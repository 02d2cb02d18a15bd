import { describe, expect, it } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import {
  bandContributions,
  bandFloor,
} from '../../../harness/measure/features/flicker/band-limited-doubt.ts';
import { bandLimited } from '../../../harness/measure/features/flicker/band-limited-light.ts';
import { componentsOf } from '../../../harness/measure/features/flicker/components.ts';
import { ieee1789Limit } from '../../../harness/measure/features/flicker/ieee1789-limits.ts';
import { leastPassed } from '../../../harness/measure/features/flicker/passed-share.ts';
import { visibilityThreshold } from '../../../harness/measure/features/flicker/visibility-threshold.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { bandLimitedModulation } from '../../../harness/measure/metrics/flicker/band-limited-modulation.ts';
import { dominantFrequency } from '../../../harness/measure/metrics/flicker/dominant-frequency.ts';
import { flickerIndex } from '../../../harness/measure/metrics/flicker/flicker-index.ts';
import { ieee1789LowRiskComponents } from '../../../harness/measure/metrics/flicker/ieee1789-components.ts';
import {
  ieee1789LowRisk,
  ieee1789NoEffect,
} from '../../../harness/measure/metrics/flicker/ieee1789-fundamental.ts';
import { instantaneousSensation } from '../../../harness/measure/metrics/flicker/instantaneous-sensation.ts';
import { ja10Modulation } from '../../../harness/measure/metrics/flicker/ja10-modulation.ts';
import { modulation } from '../../../harness/measure/metrics/flicker/modulation.ts';
import { phantomArray } from '../../../harness/measure/metrics/flicker/phantom-array.ts';
import { stroboscopicVisibility } from '../../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
import { strongestComponent } from '../../../harness/measure/metrics/flicker/strongest-component.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { outcomeOf, sampled, withNoise } from '../light-of.ts';

type Parameters = Readonly<Record<string, number | string>>;

function measured(metric: Metric, waveform: Waveform, parameters: Parameters = {}): Measured {
  const outcome = outcomeOf(metric, waveform, parameters);
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

const standard = ({ contributions }: Measured, name: string): number =>
  contributions.find((each) => each.name === name)?.standard ?? Number.NaN;

/** 50 lx with sines of relative amplitudes at frequencies (Hz). */
const light =
  (...tones: readonly (readonly [number, number])[]) =>
  (t: number): number =>
    50 *
    tones.reduce((sum, [amplitude, f]) => sum + amplitude * Math.sin(2 * Math.PI * f * t + f), 1);

const record = (...tones: readonly (readonly [number, number])[]) =>
  sampled(light(...tones), 10_000, 1);

describe('modulation', () => {
  it('of a sine is its amplitude, with the extremes among the notes', () => {
    const found = measured(modulation, record([0.2, 100]));
    expect(found.value).toBeCloseTo(0.2, 3);
    expect(found.evidence.notes).toEqual({
      low: expect.closeTo(40, 1),
      high: expect.closeTo(60, 1),
      'raw-modulation': expect.closeTo(0.2, 3),
    });
    expect(found.evidence.charts.map(({ kind }) => kind)).toEqual(['waveform']);
    expect(measured(modulation, record([0.2, 100]), { 'up-to': 4000 }).value).toBeCloseTo(0.2, 3);
    expect(outcomeOf(modulation, record([0.2, 100]), { 'up-to': 5000 })).toMatchObject({
      reason: 'too-slow',
    });
  });
});

describe('flicker index', () => {
  it('of a sine is its amplitude over π, of a square wave half of it, of a triangle a quarter', () => {
    expect(measured(flickerIndex, record([0.2, 100])).value).toBeCloseTo(0.2 / Math.PI, 4);
    const square = sampled((t) => ((t * 100) % 1 < 0.5 ? 60 : 40), 10_000, 1);
    expect(measured(flickerIndex, square).value).toBeCloseTo(0.1, 4);
    const triangle = sampled((t) => 40 + 40 * Math.abs(((t * 100) % 1) - 0.5), 10_000, 1);
    expect(measured(flickerIndex, triangle).value).toBeCloseTo(0.05, 4);
  });

  it('names its mean and the frequency of its periods', () => {
    const found = measured(flickerIndex, record([0.2, 100]));
    expect(found.evidence.notes).toEqual({
      mean: expect.closeTo(50, 6),
      'dominant-frequency': expect.closeTo(100, 3),
    });
    expect(found.evidence.charts.length).toBe(1);
    // A sample flattens a sine by (π/100)²/6; two samples at each passing miss a twelfth of the slope of 0.2 · 2π/100.
    expect(standard(found, 'width of a sample')).toBeCloseTo(
      (0.85 * (0.2 / Math.PI) * (Math.PI / 100) ** 2) / 6,
      7,
    );
    expect(standard(found, 'edges between samples')).toBeCloseTo(
      (4 * ((0.2 * 2 * Math.PI) / 100 / 12)) / 100 / 2 / Math.sqrt(3),
      6,
    );
    expect(standard(found, 'pulses within samples')).toBe(0);
    expect(standard(found, 'rounding')).toBe(0);
  });

  it('is rounded by a quarter of a code, over as many as change within a period', () => {
    const step = 0.5;
    const rounded = sampled((t) => step * Math.round(light([0.2, 100])(t) / step), 10_000, 1, {
      step,
    });
    const found = measured(flickerIndex, rounded);
    const within = step / 4 / 50;
    let changes = 0;
    for (let k = 1; k < 10_000; k++) if (rounded.samples[k] !== rounded.samples[k - 1]) changes++;
    expect(changes).toBeGreaterThan(5000);
    expect(standard(found, 'rounding')).toBeCloseTo(
      (2 * within) / Math.sqrt(changes / 100) / Math.sqrt(12),
      6,
    );
    expect(found.floor).toBeGreaterThanOrEqual(within - 1e-9);
    expect(standard(found, 'noise correction')).toBeLessThan(within);
  });

  it('may have missed pulses far shorter than a sample', () => {
    // One sample of 60 alone in each 100 of 40: twice the nearer distance, 0.2, in each period.
    const needles = sampled((t) => (Math.round(t * 10_000 - 0.5) % 100 === 7 ? 60 : 40), 10_000, 1);
    const found = measured(flickerIndex, needles);
    expect(found.value).toBeCloseTo((2 * 0.01 * 0.99 * 20) / 2 / 40.2, 5);
    expect(standard(found, 'pulses within samples')).toBeCloseTo(
      (0.85 * 2 * 0.2) / 100 / 2 / 40.2,
      6,
    );
  });

  it('of steady light is 0, and no more than its samples’ own', () => {
    const noise = (k: number) => 0.05 * Math.SQRT2 * Math.sin(2.1 * k * k + 0.7 * k);
    const steady = sampled((t) => 50 + noise(Math.round(t * 10_000 - 0.5)), 10_000, 1);
    const found = measured(flickerIndex, steady);
    const bound =
      Array.from(steady.samples).reduce((sum, x) => sum + Math.abs(x - 50), 0) / 10_000 / 100;
    expect(found.value).toBe(0);
    expect(found.evidence.notes).toMatchObject({ 'upper-bound': expect.closeTo(bound, 5) });
    expect(standard(found, 'within the noise')).toBeCloseTo(bound / Math.sqrt(3), 5);
    expect(found.floor).toBeCloseTo(bound, 5);
    expect(found.evidence.charts.length).toBe(1);
    // With a line below the noise: that of a sine, m/π.
    const weak = sampled(
      (t) => light([0.001, 100])(t) + noise(Math.round(t * 10_000 - 0.5)),
      10_000,
      1,
    );
    expect(measured(flickerIndex, weak).value).toBeCloseTo(0.001 / Math.PI, 4);
    const codes = sampled(() => 50, 10_000, 1, { step: 0.4 });
    expect(measured(flickerIndex, codes)).toMatchObject({
      value: 0,
      floor: expect.closeTo(0.1 / 50, 12),
    });
  });

  it('is refused without periods, among noise, and of too few samples a period', () => {
    const ramp = sampled((t) => 40 + 20 * t, 10_000, 1);
    expect(outcomeOf(flickerIndex, ramp)).toMatchObject({ reason: 'no-periodicity' });
    expect(outcomeOf(flickerIndex, record([0.2, 1001]))).toMatchObject({
      ...{ reason: 'too-slow', found: 10_000, unit: 'Hz' },
      needed: expect.closeTo(10_010, 0),
    });
    expect(measured(flickerIndex, record([0.2, 999])).value).toBeGreaterThan(0);
  });
});

describe('dominant frequency', () => {
  it('is that of the strongest line, with its amplitude', () => {
    const found = measured(dominantFrequency, record([0.2, 100.3], [0.1, 300]));
    expect(found.value).toBeCloseTo(100.3, 2);
    expect(found.evidence.notes).toEqual({ 'relative-amplitude': expect.closeTo(0.2, 3) });
    expect(found.evidence.charts.map(({ kind }) => kind)).toEqual(['spectrum']);
    expect(standard(found, 'tones beside it')).toBe(0);
    expect(standard(found, 'tones not told apart')).toBe(0);
  });

  it('may be moved by a line that touches its own: eight bins times the square of its part, a bin at the most', () => {
    const beside = (amplitude: number, f: number) =>
      standard(measured(dominantFrequency, record([0.2, 100], [amplitude, f])), 'tones beside it');
    expect(beside(0.02, 106)).toBeCloseTo((8 * 0.01) / Math.sqrt(3), 2);
    expect(beside(0.02, 94)).toBeCloseTo((8 * 0.01) / Math.sqrt(3), 2);
    expect(beside(0.02, 108)).toBe(0);
    expect(beside(0.12, 106)).toBeCloseTo(1 / Math.sqrt(3), 6);
  });

  it('is none of a ramp, nor of a line that may be the bench’s', () => {
    expect(
      outcomeOf(
        dominantFrequency,
        sampled((t) => 40 + 20 * t, 10_000, 1),
      ),
    ).toMatchObject({
      reason: 'no-periodicity',
    });
    const dark = (amplitude: number) => ({
      dark: { slow: 0, drift: 0, lines: [{ frequency: 100, amplitude }] },
    });
    const weak = (rest: Partial<Waveform>) => sampled(light([0.005, 100]), 10_000, 1, rest);
    expect(outcomeOf(dominantFrequency, weak(dark(0.2)))).toEqual({
      ...{ measured: false, reason: 'below-noise' },
      note: 'the strongest line is no stronger than that of the dark wiring',
    });
    expect(measured(dominantFrequency, weak(dark(0.1))).value).toBeCloseTo(100, 2);
    expect(outcomeOf(dominantFrequency, weak({}))).toEqual({
      ...{ measured: false, reason: 'below-noise' },
      note: 'the strongest line is weak and at a multiple of the mains: record the dark wiring',
    });
    expect(measured(dominantFrequency, sampled(light([0.01, 100]), 10_000, 1)).value).toBeCloseTo(
      100,
      2,
    );
  });
});

describe('stroboscopic visibility', () => {
  const curves = ['tr63158', 'tn006'] as const;

  it.each(curves)(
    'of sines is the 3.7-norm of their amplitudes over the threshold: %s',
    (curve) => {
      const part = (m: number, f: number) => (m / visibilityThreshold(curve, f)) ** 3.7;
      const found = measured(stroboscopicVisibility, record([0.2, 100], [0.15, 217]), { curve });
      expect(found.value).toBeCloseTo((part(0.2, 100) + part(0.15, 217)) ** (1 / 3.7), 3);
      expect(found.evidence.notes).toEqual({ curve });
      const [chart] = found.evidence.charts;
      const line = chart?.lines.find(({ role }) => role === 'limit');
      expect(line?.name).toBe('SVM 1 for a sine');
      expect(line?.x[0]).toBe(80);
      expect(line?.x.length).toBe(61);
      expect(line?.x.at(-1)).toBeCloseTo(2000, 6);
      expect(line?.y[60]).toBeCloseTo(visibilityThreshold(curve, 2000), 6);
    },
  );

  it('ends at 80 Hz and at 2 kHz, but for what the spectrum’s place may have moved', () => {
    const of = (f: number) => measured(stroboscopicVisibility, record([0.2, f]));
    expect(of(79).value).toBe(0);
    expect(of(81).value).toBeGreaterThan(0.5);
    expect(of(2001).value).toBe(0);
    expect(of(1999).value).toBeGreaterThan(0.04);
    // On the edge, and told nowhere else.
    const edge = of(80);
    expect(edge.value).toBeGreaterThan(0.5);
    expect(standard(edge, 'components on the band’s edge')).toBeCloseTo(
      edge.value / Math.sqrt(3),
      6,
    );
    expect(standard(of(82), 'components on the band’s edge')).toBe(0);
    expect(of(2000).value).toBeGreaterThan(0.04);
  });

  it('is uncertain by averaging and by what may have folded', () => {
    const waveform = sampled(light([0.2, 100], [0.02, 4500]), 10_000, 1, { bandwidth: 2000 });
    const found = measured(stroboscopicVisibility, waveform);
    const threshold = visibilityThreshold('tr63158', 100);
    const most = 0.2 / leastPassed(waveform, 100) / threshold;
    expect(standard(found, 'averaging and bandwidth')).toBeCloseTo(
      0.85 * (most - 0.2 / threshold),
      3,
    );
    expect(standard(found, 'components folded down')).toBeCloseTo(
      0.02 / threshold / Math.sqrt(3),
      3,
    );
    expect(standard(found, 'tones not told apart')).toBeCloseTo(0, 3);
    expect(found.floor).toBeGreaterThan(found.value - 1e-9);
    expect(found.floor).toBeLessThan(1.01 * found.value);
  });

  it('has a floor by the worst that codes may hide', () => {
    const found = measured(
      stroboscopicVisibility,
      sampled(() => 50, 10_000, 1, { step: 1 }),
    );
    expect(found.value).toBe(0);
    // 2/π of a step at 80 Hz, where the threshold is least.
    const passed = leastPassed({ rate: 10_000 }, 80);
    expect(found.floor).toBeCloseTo(
      2 / Math.PI / 50 / passed / visibilityThreshold('tr63158', 80),
      6,
    );
  });
});

describe('IEEE 1789', () => {
  it('by the fundamental is the whole modulation over its limit', () => {
    const found = measured(ieee1789LowRisk, record([0.2, 120], [0.02, 240]));
    const whole = measured(modulation, record([0.2, 120], [0.02, 240])).value;
    expect(found.value).toBeCloseTo(whole / 0.096, 3);
    expect(found.evidence.notes).toEqual({
      modulation: expect.closeTo(whole, 6),
      fundamental: expect.closeTo(120, 2),
      limit: expect.closeTo(0.096, 4),
    });
    const [chart] = found.evidence.charts;
    expect(chart?.lines.map(({ name }) => name)).toEqual([
      ...['light', 'low risk', 'whole waveform at the fundamental'],
    ]);
    expect(measured(ieee1789NoEffect, sampled(light([0.2, 120]), 12_000, 1)).value).toBeCloseTo(
      0.2 / 0.03996,
      2,
    );
  });

  it('has no limit above the band, and nothing to judge without a component', () => {
    const fast = measured(ieee1789LowRisk, record([0.2, 1400]));
    expect(fast.value).toBe(0);
    expect(fast.evidence.notes).toEqual({
      modulation: expect.closeTo(0.2, 2),
      fundamental: expect.closeTo(1400, 1),
    });
    const still = measured(
      ieee1789LowRisk,
      sampled(() => 50, 10_000, 1, { step: 0.1 }),
    );
    expect(still).toMatchObject({ value: 0 });
    expect(still.contributions.every((each) => each.standard === 0)).toBe(true);
    expect(still.evidence.notes).toMatchObject({ fundamental: 0 });
  });

  it('hides what would set the period: the worst of the codes', () => {
    const found = measured(
      ieee1789LowRisk,
      sampled(() => 50, 10_000, 1, { step: 0.1 }),
    );
    // From 3 Hz on nothing is known of a component of 2/π of a code.
    const hidden = ((2 / Math.PI) * 0.1) / 50;
    const least = hidden / leastPassed({ rate: 10_000 }, 3) / ieee1789Limit('low-risk', 3);
    expect(found.floor).toBeGreaterThan(0.999 * least);
    expect(found.floor).toBeLessThan(3.001 * least);
  });

  it('counts faint slower components as an uncertainty', () => {
    const found = measured(ieee1789LowRisk, record([0.2, 120.2], [0.004, 47]));
    const whole = measured(modulation, record([0.2, 120.2], [0.004, 47])).value;
    expect(found.value).toBeCloseTo(whole / (0.08e-2 * 120.2), 3);
    expect(standard(found, 'faint slower components')).toBeCloseTo(
      (whole / (0.025e-2 * 47) - found.value) / Math.sqrt(3),
      2,
    );
  });

  it('lies on one side of 90 Hz, or may lie on the other', () => {
    const near = measured(ieee1789LowRisk, record([0.2, 90.005]));
    expect(near.value).toBeCloseTo(0.2 / 0.072, 2);
    expect(standard(near, 'frequency against the limit')).toBeCloseTo(
      (0.2 / 0.0225 - 0.2 / 0.072) / Math.sqrt(3),
      1,
    );
    expect(
      standard(measured(ieee1789LowRisk, record([0.2, 95])), 'frequency against the limit'),
    ).toBeLessThan(0.001);
  });

  it('leaves the period to the lamp where the dark wiring has a line of its own', () => {
    const pickup = [{ frequency: 50, amplitude: 1 }];
    const given = (rest: Partial<Waveform>) =>
      sampled(light([0.1, 217], [0.015, 50]), 10_000, 1, rest);
    const wired = measured(ieee1789LowRisk, given({ dark: { slow: 0, drift: 0, lines: pickup } }));
    expect(wired.evidence.notes['fundamental']).toBeCloseTo(217, 1);
    expect(standard(wired, 'faint slower components')).toBeGreaterThan(1);
    const clean = measured(ieee1789LowRisk, given({ dark: { slow: 0, drift: 0, lines: [] } }));
    expect(clean.evidence.notes['fundamental']).toBeCloseTo(50, 1);
  });

  it('by each component takes the worst', () => {
    const found = measured(ieee1789LowRiskComponents, record([0.2, 120], [0.015, 47]));
    expect(found.value).toBeCloseTo(Math.max(0.2 / 0.096, 0.015 / (0.025e-2 * 47)), 2);
    expect(found.evidence.notes).toEqual({ 'worst-frequency': expect.closeTo(120, 2) });
    const slow = measured(ieee1789LowRiskComponents, record([0.2, 120], [0.03, 47]));
    expect(slow.value).toBeCloseTo(0.03 / (0.025e-2 * 47), 2);
    expect(slow.evidence.notes).toEqual({ 'worst-frequency': expect.closeTo(47, 2) });
    expect(slow.contributions.length).toBe(4);
    expect(slow.evidence.charts.length).toBe(1);
    expect(outcomeOf(ieee1789LowRiskComponents, sampled(light([0.2, 120]), 4900, 1))).toMatchObject(
      {
        ...{ reason: 'too-slow', needed: 5000 },
      },
    );
  });
});

describe('strongest component', () => {
  it('stands with the others in a table, ten at the most, up to 2 kHz', () => {
    const found = measured(strongestComponent, record([0.1, 100], [0.2, 300], [0.3, 2100]));
    expect(found.value).toBeCloseTo(0.2, 4);
    expect(found.evidence.notes).toEqual({
      'component-1': '300 Hz: 20 %',
      'component-2': '100 Hz: 10 %',
    });
    const many = record(
      ...Array.from({ length: 12 }, (_, k) => [0.01 + 0.001 * k, 100 + 100 * k] as const),
    );
    const { notes } = measured(strongestComponent, many).evidence;
    expect(Object.keys(notes).length).toBe(10);
    expect(notes['component-10']).toBe('300 Hz: 1.2 %');
    expect(
      measured(
        strongestComponent,
        sampled(() => 50, 10_000, 1, { step: 0.1 }),
      ).value,
    ).toBe(0);
  });

  it('has the floor of what codes hide', () => {
    const found = measured(
      strongestComponent,
      sampled(() => 50, 10_000, 1, { step: 0.1 }),
    );
    expect(found.floor).toBeCloseTo(
      ((2 / Math.PI) * 0.1) / 50 / leastPassed({ rate: 10_000 }, 2000),
      6,
    );
  });
});

describe('phantom array', () => {
  const fast = (...tones: readonly (readonly [number, number])[]) =>
    sampled(light(...tones), 60_000, 0.2);

  it('is the worst component’s share from 1 kHz to 15 kHz', () => {
    // Barten at u = f/500: 4 cycles a degree at 2 kHz, sensitivity 724.77; 16 at 8 kHz, 242.64.
    const found = measured(phantomArray, fast([0.001, 2000], [0.002, 8000]));
    expect(found.value).toBeCloseTo(0.7248, 2);
    expect(found.evidence.notes).toEqual({
      'worst-frequency': expect.closeTo(2000, 0),
      'saccade-degrees-per-second': 500,
    });
    expect(measured(phantomArray, fast([0.001, 2000]), { saccade: 2000 }).value).toBeCloseTo(
      0.4154,
      2,
    );
    const [chart] = found.evidence.charts;
    const limit = chart?.lines.find(({ role }) => role === 'limit');
    expect([limit?.x[0], limit?.x.length]).toEqual([1000, 61]);
    expect(limit?.x[60]).toBeCloseTo(15_000, 6);
    expect(limit?.x[30]).toBeCloseTo(Math.sqrt(15e6), 6);
    expect(limit?.name).toBe('streak just seen');
  });

  it('leaves out what is slower and what is faster', () => {
    expect(measured(phantomArray, fast([0.1, 900])).value).toBe(0);
    expect(measured(phantomArray, fast([0.1, 16_000])).value).toBe(0);
    expect(measured(phantomArray, fast([0.1, 1100])).value).toBeGreaterThan(10);
  });

  it('asks for an eye that moves', () => {
    for (const saccade of [0, -1])
      expect(outcomeOf(phantomArray, fast([0.1, 2000]), { saccade })).toEqual({
        ...{ measured: false, reason: 'out-of-domain', note: 'the eye has to move' },
      });
  });
});

describe('modulation below a cut-off', () => {
  const quick = (...tones: readonly (readonly [number, number])[]) =>
    sampled(light(...tones), 20_000, 2);

  it('is that of the slower tones alone', () => {
    const found = measured(bandLimitedModulation, quick([0.1, 100], [0.3, 1000]));
    expect(found.value).toBeCloseTo(0.1, 3);
    expect(found.evidence.notes).toEqual({
      'cut-off': 200,
      low: expect.closeTo(45, 1),
      high: expect.closeTo(55, 1),
    });
    expect(found.evidence.charts.map(({ kind }) => kind)).toEqual(['waveform', 'spectrum']);
    const [chart] = found.evidence.charts;
    // The first point lies within one of the filtered course's steps of the record's start.
    expect(chart?.lines[0]?.x[0]).toBeGreaterThan(0);
    expect(chart?.lines[0]?.x[0]).toBeLessThan(1 / 200 / 32);
    expect(
      measured(bandLimitedModulation, quick([0.1, 100], [0.3, 1000]), { 'cut-off': 1500 }).value,
    ).toBeGreaterThan(0.35);
    expect(
      measured(bandLimitedModulation, quick([0.1, 100.3]), { 'cut-off': 90 }).value,
    ).toBeLessThan(0.001);
  });

  it('lies below half of the rate', () => {
    for (const cutOff of [0, -1, 10_000])
      expect(outcomeOf(bandLimitedModulation, quick([0.1, 100]), { 'cut-off': cutOff })).toEqual({
        ...{ measured: false, reason: 'out-of-domain', found: cutOff, needed: 10_000, unit: 'Hz' },
      });
  });

  it('keeps a tone on the cut-off, and says that it may not', () => {
    const waveform = quick([0.1, 60], [0.05, 200]);
    const lit = { waveform, analysis: analysisOf(waveform) };
    const both = bandLimited(lit, 200);
    expect(both.modulation).toBeGreaterThan(0.13);
    expect(both.without).toBeCloseTo(0.1, 2);
    expect(both.merged).toBe(0);
    const by = bandContributions(both, lit, 200);
    expect(by[0]?.name).toBe('tones on the cut-off');
    expect(by[0]?.standard).toBeCloseTo((both.modulation - both.without) / Math.sqrt(3), 9);
    // Half a hertz and more off it is one or the other.
    for (const [f, expected] of [
      [199, 0.148],
      [201, 0.1],
    ] as const) {
      const sure = quick([0.1, 60], [0.05, f]);
      const found = bandLimited({ waveform: sure, analysis: analysisOf(sure) }, 200);
      expect(Math.abs(found.modulation - expected)).toBeLessThan(0.005);
      expect(found.without).toBe(found.modulation);
    }
  });

  it('is uncertain by averaging, by the record’s ends and by the noise', () => {
    const waveform = quick([0.1, 100]);
    const lit = { waveform, analysis: analysisOf(waveform) };
    const limited = { ...bandLimited(lit, 200), within: 0.09, correction: 0.02, modulation: 0.1 };
    const by = Object.fromEntries(
      bandContributions({ ...limited, without: 0.1, merged: 0.03 }, lit, 200).map((each) => [
        each.name,
        each.standard,
      ]),
    );
    expect(by['tones on the cut-off']).toBeCloseTo(0.03 / Math.sqrt(3), 12);
    expect(by['ends of the record']).toBeCloseTo(0.01 / Math.sqrt(3), 12);
    expect(by['averaging and bandwidth']).toBeCloseTo(
      (0.1 * (1 / leastPassed(waveform, 200) - 1)) / Math.sqrt(3),
      12,
    );
    expect(by['noise correction']).toBeCloseTo(0.002, 12);
    const [wide] = bandContributions({ ...limited, without: 0.1, merged: 3 }, lit, 200);
    expect(wide?.standard).toBeCloseTo(0.1 / Math.sqrt(3), 12);
  });

  it('may hide what codes hide, at the cut-off most', () => {
    const waveform = sampled(() => 50, 20_000, 2, { step: 0.1 });
    const lit = { waveform, analysis: analysisOf(waveform) };
    expect(bandFloor(lit, 200)).toBeCloseTo(
      ((2 / Math.PI) * 0.1) / 50 / leastPassed(waveform, 200),
      9,
    );
  });

  /** Short records, in which a bin is 0.5 Hz wide. */
  const short = (value: (t: number) => number, rate = 2000, noise = 0) => {
    const waveform = withNoise(sampled(value, rate, 2), noise);
    return { waveform, analysis: analysisOf(waveform) };
  };

  it('loses what noise adds to its extremes: that of the band, over as many points as are independent', () => {
    const found = bandLimited(short(light([0.05, 20]), 2000, 0.5), 200);
    // Noise of 0.5 lx in 1 kHz leaves 0.5 √0.2 in 200 Hz, which twenty or so of 800 half periods meet at either crest.
    const left = 0.5 * Math.sqrt(0.2);
    expect(found.correction * (found.high + found.low)).toBeGreaterThan(2 * 1.2 * left);
    expect(found.correction * (found.high + found.low)).toBeLessThan(2 * 3.2 * left);
    expect(Math.abs(found.modulation - 0.05)).toBeLessThan(0.01);
    const clean = bandLimited(short(light([0.05, 20])), 200);
    expect(clean.correction).toBeLessThan(1e-4);
    expect(clean.modulation).toBeCloseTo(0.05, 4);
  });

  it('leaves slow tones and far ones to the filter, and of strong and weak ones takes all', () => {
    // 12 bins are too few for a fit; 1700 Hz is more than eight cut-offs.
    expect(bandLimited(short(light([0.05, 6])), 200).modulation).toBeCloseTo(0.05, 3);
    expect(bandLimited(short(light([0.05, 60], [0.4, 1700]), 5000), 200).modulation).toBeCloseTo(
      0.05,
      3,
    );
    // Leakage of a strong tone would hide the weak one's place: the strongest goes first.
    const beside = bandLimited(short(light([0.002, 195], [0.5, 231.3])), 200);
    expect(beside.modulation).toBeCloseTo(0.002, 3);
    expect(beside.within).toBeCloseTo(0.002, 3);
  });

  it('of all of JA10 takes the worst up to 200 Hz, and names the five', () => {
    const found = measured(ja10Modulation, quick([0.06, 30], [0.05, 85], [0.04, 150], [0.1, 700]), {
      limit: 0.3,
    });
    const { notes } = found.evidence;
    expect(Object.keys(notes)).toEqual(
      [40, 90, 200, 400, 1000].map((f) => `modulation-below-${f}-hz`),
    );
    const at = (f: number) => Number(notes[`modulation-below-${f}-hz`]);
    expect(at(40)).toBeCloseTo(0.06, 2);
    expect(at(90)).toBeGreaterThan(0.1);
    expect(at(200)).toBeGreaterThan(at(90));
    expect(at(400)).toBeCloseTo(at(200), 2);
    expect(at(1000)).toBeGreaterThan(at(400) + 0.05);
    expect(found.value).toBeCloseTo(at(200) / 0.3, 9);
    const twice = measured(ja10Modulation, quick([0.06, 30]), { limit: 0.15 });
    expect(twice.value).toBeCloseTo(0.06 / 0.15, 2);
    expect(twice.floor).toBeGreaterThan(0);
    const [chart] = found.evidence.charts;
    expect(chart?.title).toBe('Modulation below each cut-off');
    expect(chart?.lines.map(({ name, x }) => [name, [...x]])).toEqual([
      ['light', [40, 90, 200, 400, 1000]],
      ['limit', [40, 200]],
    ]);
    expect([...(chart?.lines[1]?.y ?? [])]).toEqual([0.3, 0.3]);
  });
});

describe('the largest sensation of flicker', () => {
  it('goes as the square of the modulation and with the scale', () => {
    const given = (m: number) => sampled(light([m, 8.8]), 2000, 20);
    const one = measured(instantaneousSensation, given(0.004), { scale: 1e6 });
    expect(
      measured(instantaneousSensation, given(0.008), { scale: 1e6 }).value / one.value,
    ).toBeCloseTo(4, 2);
    expect(
      measured(instantaneousSensation, given(0.004), { scale: 2e6 }).value / one.value,
    ).toBeCloseTo(2, 6);
    expect(one.evidence.notes).toEqual({ scale: 1e6 });
    // 4 % at 2 kS/s, twice for the square.
    expect(standard(one, 'realisation of the filters')).toBeCloseTo(
      (2 * one.value * 0.04) / Math.sqrt(3),
      9,
    );
    expect(outcomeOf(instantaneousSensation, sampled(light([0.01, 8.8]), 2000, 19))).toMatchObject({
      reason: 'too-short',
    });
  });
});

describe('components of a record of one tone', () => {
  it('are that tone', () => {
    const waveform = record([0.2, 100]);
    expect(componentsOf({ waveform, analysis: analysisOf(waveform) })).toEqual([
      {
        frequency: expect.closeTo(100, 3),
        deviation: expect.closeTo(0.005, 4),
        amplitude: expect.closeTo(0.2, 5),
        merged: 0,
        least: expect.closeTo(0.2, 5),
        most: expect.closeTo(0.2 / leastPassed(waveform, 100), 4),
      },
    ]);
  });
});
