import { describe, expect, it } from 'vitest';
import type { Analysis } from '../../../harness/measure/analysis/analysis.ts';
import {
  noiseSeverity,
  sineSeverity,
} from '../../../harness/measure/features/flicker/added-severity.ts';
import { blindCode } from '../../../harness/measure/features/flicker/blind-code.ts';
import {
  blindShare,
  type Component,
  componentsOf,
  foldedAmplitude,
  hiddenOf,
  hidesStructure,
  meanOf,
} from '../../../harness/measure/features/flicker/components.ts';
import { flickerSensation } from '../../../harness/measure/features/flicker/flicker-sensation.ts';
import {
  flickerBand,
  flickerMemory,
  lightWeighting,
  voltageWeighting,
} from '../../../harness/measure/features/flicker/flickermeter-blocks.ts';
import {
  ieee1789End,
  ieee1789Limit,
} from '../../../harness/measure/features/flicker/ieee1789-limits.ts';
import { leastSensation } from '../../../harness/measure/features/flicker/least-sensation.ts';
import {
  largestSensation,
  lightSeverity,
  realisedWithin,
} from '../../../harness/measure/features/flicker/light-flickermeter.ts';
import { type LitRecord, litRecord } from '../../../harness/measure/features/flicker/lit-record.ts';
import { noPeriodicity } from '../../../harness/measure/features/flicker/no-periodicity.ts';
import { leastPassed } from '../../../harness/measure/features/flicker/passed-share.ts';
import {
  commonPeriod,
  periodSetters,
  setsPeriod,
} from '../../../harness/measure/features/flicker/period.ts';
import { bandUnseen } from '../../../harness/measure/features/flicker/seen-band.ts';
import { scaleOf, scaleWords } from '../../../harness/measure/features/flicker/sensation-scale.ts';
import {
  constantSeverity,
  shortTermSeverity,
} from '../../../harness/measure/features/flicker/short-term-severity.ts';
import {
  contrastSensitivity,
  streakThreshold,
} from '../../../harness/measure/features/flicker/streak-sensitivity.ts';
import { visibilityThreshold } from '../../../harness/measure/features/flicker/visibility-threshold.ts';
import { wholeModulation } from '../../../harness/measure/features/flicker/whole-modulation.ts';
import {
  shareContributions,
  shareFloor,
  worstComponent,
} from '../../../harness/measure/features/flicker/worst-component.ts';
import { modulation } from '../../../harness/measure/metrics/flicker/modulation.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { magnitude } from '../../../harness/measure/signal/sections.ts';
import { noiseRatio } from '../../../harness/measure/signal/spectral-lines.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { observing, sampled } from '../light-of.ts';

/** A thousand samples a second for two seconds; alternates by ± 0.2 so that its quietest stretch has noise. */
function still(rest: Partial<Waveform> = {}): Waveform {
  return sampled(() => 10, 1000, 2, rest);
}

interface Drawn {
  readonly lines?: Analysis['lines'];
  readonly slowLines?: Analysis['lines'];
  readonly slowMean?: number;
  readonly at?: Analysis['slow']['at'];
  /** Power of bins by number, and of all others. */
  readonly put?: Readonly<Record<number, number>>;
  readonly found?: number;
  /** Noise floor, power a bin. */
  readonly level?: number;
  readonly segments?: number;
  readonly rms?: number;
  readonly noise?: number;
  readonly extremes?: Partial<Analysis['extremes']>;
  readonly waveform?: Waveform;
}

/** A record whose analysis says what is put there: mean 10, bins of 0.5 Hz up to 500 Hz. */
function drawn({
  lines = [],
  slowLines = [],
  slowMean = Number.NaN,
  at = () => ({ amplitude: 0, standard: 0 }),
  put = {},
  found = 0,
  level = 0,
  segments = 1,
  rms = 0,
  noise = 0,
  extremes = {},
  waveform = still(),
}: Drawn): LitRecord {
  const power = new Float64Array(1001).fill(found);
  for (const [k, value] of Object.entries(put)) power[Number(k)] = value;
  const analysis: Analysis = {
    statistics: { mean: 10, lowest: 8, highest: 12, lowestAt: 0, highestAt: 1, notFiniteAt: -1 },
    spectrum: { power, mean: 10, step: 0.5, length: 2000, segments, window: 'blackman-harris' },
    floor: { levels: Float64Array.of(level, 4 * level), ends: Int32Array.of(400, 1001), rms },
    noise,
    extremes: {
      ...{ low: 8, high: 12, lowCorrection: 0, highCorrection: 0, lowBetween: 0, highBetween: 0 },
      ...{ lowAlone: false, highAlone: false, ...extremes },
    },
    lines,
    slow: { lines: slowLines, mean: slowMean, at, end: 2.5 },
    dominant: undefined,
  };
  return { waveform, analysis };
}

describe('limits of IEEE 1789 and thresholds of visibility', () => {
  it.each([
    // RP1: 0.025 f % below 90 Hz, 0.08 f % to 1250 Hz; RP2: 0.01 f %, 0.0333 f % to 3000 Hz.
    ['low-risk', 8.8, 0.0022],
    ['low-risk', 89.99, 0.0224975],
    ['low-risk', 90, 0.072],
    ['low-risk', 120, 0.096],
    ['low-risk', 1250, 1],
    ['low-risk', 1250.1, Infinity],
    ['no-effect', 8.8, 0.00088],
    ['no-effect', 89.99, 0.008999],
    ['no-effect', 90, 0.02997],
    ['no-effect', 1250, 0.41625],
    ['no-effect', 3000, 0.999],
    ['no-effect', 3000.1, Infinity],
  ] as const)('%s at %s Hz: %s', (practice, frequency, expected) => {
    if (expected === Infinity) expect(ieee1789Limit(practice, frequency)).toBe(Infinity);
    else expect(ieee1789Limit(practice, frequency)).toBeCloseTo(expected, 12);
  });

  it('end at 1250 Hz and at 3 kHz', () => {
    expect([ieee1789End('low-risk'), ieee1789End('no-effect')]).toEqual([1250, 3000]);
  });

  it.each([
    // IEC TR 63158 and CIE TN 006, computed from the formulae by another program.
    ['tr63158', 80, 0.249751],
    ['tr63158', 100, 0.259924],
    ['tr63158', 500, 0.643442],
    ['tr63158', 2000, 3.778153],
    ['tn006', 80, 0.24288],
    ['tn006', 100, 0.256275],
    ['tn006', 306.6, 0.5],
    ['tn006', 2000, 0.999845],
  ] as const)('%s at %s Hz: %s', (curve, frequency, expected) => {
    expect(visibilityThreshold(curve, frequency)).toBeCloseTo(expected, 6);
  });

  it.each([
    [0.5, 227.5429, 60.0118],
    [1, 415.4322, 117.4747],
    [4, 724.7716, 328.3344],
    [16, 242.6411, 154.1231],
    [30, 46.1758, 29.7234],
  ])('contrast at %s cycles a degree is seen from 1/%s on', (u, sensitivity, dim) => {
    expect(contrastSensitivity(u)).toBeCloseTo(sensitivity, 3);
    expect(contrastSensitivity(u, 100, 4)).toBeCloseTo(dim, 3);
    expect(streakThreshold(500 * u, 500)).toBeCloseTo(1 / sensitivity, 7);
    expect(streakThreshold(300 * u, 300)).toBeCloseTo(1 / sensitivity, 7);
  });
});

describe('what averaging and bandwidth leave', () => {
  it.each([
    [0, undefined, 1],
    // sinc(1/2) = 2/π, sinc(1/4) = 2√2/π; one pole: 1/√(1 + (f/b)²).
    [500, undefined, 2 / Math.PI],
    [250, undefined, (2 * Math.SQRT2) / Math.PI],
    [0, 100, 1],
    [250, 250, 2 / Math.PI],
    [500, 500, Math.SQRT2 / Math.PI],
  ])('at %s Hz with a bandwidth of %s Hz: %s', (frequency, bandwidth, expected) => {
    expect(
      leastPassed({ rate: 1000, ...(bandwidth !== undefined && { bandwidth }) }, frequency),
    ).toBeCloseTo(expected, 12);
  });
});

describe('what rounding hides', () => {
  const of = (noise: number, step: number, record: Partial<Drawn> = {}) => {
    const { waveform, analysis } = drawn({ noise, waveform: still({ step }), ...record });
    return blindCode(waveform, analysis);
  };

  it('is 2/π of a step without noise, 0.7 % of that with half a step of it', () => {
    expect(of(0, 0.3)).toBeCloseTo((2 / Math.PI) * 0.3, 12);
    // What the rounding itself adds is no noise before it.
    expect(of(0.3 / Math.sqrt(12), 0.3)).toBeCloseTo((2 / Math.PI) * 0.3, 9);
    const half = Math.sqrt(0.25 + 1 / 12) * 0.3;
    expect(of(half, 0.3)).toBeCloseTo((2 / Math.PI) * 0.3 * Math.exp(-(Math.PI ** 2) / 2), 9);
  });

  it('counts no more noise than the range has room for', () => {
    // Range 4 and a step of 10: (4 + 10)/(2 · 3.4) of 2000 normals.
    const most = 14 / (2 * largestOfNormals(2000));
    expect(of(1000, 10)).toBeCloseTo(
      (2 / Math.PI) * 10 * Math.exp(-2 * ((Math.PI * most) / 10) ** 2),
      9,
    );
  });

  it('is that of the number format where no step is stated, or a finer one', () => {
    const single = { ...still(), samples: new Float32Array(2000).fill(10) };
    const { analysis } = drawn({});
    expect(blindCode(single, analysis) / ((2 / Math.PI) * 12 * 2 ** -23)).toBeCloseTo(1, 9);
    expect(blindCode(still(), analysis) / ((2 / Math.PI) * 12 * 2 ** -52)).toBeCloseTo(1, 9);
    expect(blindCode({ ...single, step: 1e-9 }, analysis)).toBe(blindCode(single, analysis));
    expect(blindShare(drawn({ waveform: still({ step: 0.3 }) }))).toBeCloseTo(
      ((2 / Math.PI) * 0.3) / 10,
      12,
    );
  });
});

const component = (rest: Partial<Component>): Component => ({
  ...{ frequency: 100, deviation: 0.1, amplitude: 0.2, merged: 0, least: 0.2, most: 0.2 },
  ...rest,
});

describe('components of a record', () => {
  it('are slow sines and lines in order of frequency, relative to the mean', () => {
    const record = drawn({
      lines: [
        { frequency: 50, amplitude: 2 },
        { frequency: 100, amplitude: 1 },
      ],
      slowLines: [{ frequency: 1.5, amplitude: 0.4 }],
      slowMean: 8,
    });
    const found = componentsOf(record);
    expect(found.map(({ frequency }) => frequency)).toEqual([1.5, 50, 100]);
    expect(found.map(({ amplitude }) => amplitude)).toEqual([0.05, 0.25, 0.125]);
    // 0.02 bins of a fit, 0.005 of a clean line.
    expect(found.map(({ deviation }) => deviation)).toEqual([0.01, 0.0025, 0.0025]);
    expect(found.map(({ merged }) => merged)).toEqual([0, 0, 0]);
    expect(found.map(({ least }) => least)).toEqual([0.05, 0.25, 0.125]);
    for (const { most, amplitude, frequency } of found)
      expect(most).toBeCloseTo(
        ((1 + 6e-5) * amplitude) / leastPassed(record.waveform, frequency),
        9,
      );
    expect(meanOf(record.analysis)).toBe(8);
    expect(meanOf(drawn({}).analysis)).toBe(10);
  });

  it('lie as sharply as the noise under them lets, sharper with more segments', () => {
    // L/P = 0.01/4 below bin 400, four times that above.
    const of = (frequency: number, segments: number) =>
      componentsOf(drawn({ lines: [{ frequency, amplitude: 2 }], level: 0.01, segments }))[0];
    const place = (ratio: number, segments: number) =>
      0.5 * (0.005 + Math.sqrt((2 * ratio + 60 * ratio ** 2) / segments));
    expect(of(100, 1)?.deviation).toBeCloseTo(place(0.0025, 1), 12);
    expect(of(199.9, 4)?.deviation).toBeCloseTo(place(0.0025, 4), 12);
    expect(of(200, 4)?.deviation).toBeCloseTo(place(0.01, 4), 12);
  });

  it('that are wide may be two tones, each twice as strong at 0.4 bins of spread', () => {
    const of = (spread: number) =>
      componentsOf(drawn({ lines: [{ frequency: 100, amplitude: 2, spread }] }))[0];
    expect(of(0.1)?.merged).toBeCloseTo(0.5, 12);
    expect(of(0.2)?.merged).toBeCloseTo(1, 12);
    expect(of(0.9)?.merged).toBe(3);
    expect(of(0.1)?.deviation).toBeCloseTo(Math.hypot(0.0025, 0.1), 12);
  });

  it('may have folded down as strongly as those right below half the rate', () => {
    const line = (frequency: number, amplitude: number) => ({ frequency, amplitude });
    const record = drawn({
      lines: [line(100, 2), line(200, 0.4), line(400, 3), line(401, 0.5), line(450, 0.3)],
    });
    expect(foldedAmplitude(record)).toBe(0.05);
    expect(componentsOf(record).map(({ least }) => Number(least.toFixed(12)))).toEqual([
      ...[0.15, 0, 0.25, 0, 0],
    ]);
  });

  it('may have nine bins of what looks like noise where it is the light’s own course', () => {
    // The quietest stretch of a constant has no noise at all.
    const line = { frequency: 100, amplitude: 2 };
    const course = drawn({ lines: [line], level: 0.01, rms: 0.5 });
    expect(hidesStructure(course)).toBe(true);
    const most = componentsOf(course)[0]?.most ?? 0;
    expect(most).toBeCloseTo(
      ((1 + 6e-5) * Math.sqrt(4 + 9 * 0.01)) / 10 / leastPassed(course.waveform, 100),
      9,
    );
    const alternating = sampled((t) => 10 + (Math.round(t * 1000 - 0.5) % 2), 1000, 2);
    // Differences of 1: 1/0.6745/√2/0.81 of noise.
    const quiet = 1 / 0.6745 / Math.SQRT2 / 0.81;
    expect(hidesStructure(drawn({ rms: 3.05 * quiet, waveform: alternating }))).toBe(true);
    expect(hidesStructure(drawn({ rms: 2.95 * quiet, waveform: alternating }))).toBe(false);
  });
});

describe('components that a record may hide', () => {
  /** What is seen of a band, by frequency. */
  const seen = (record: LitRecord, from: number, to: number) => {
    const found = new Map<number, number>();
    hiddenOf(record, { from, to }, (frequency, amplitude) => {
      found.set(frequency, Math.max(amplitude, found.get(frequency) ?? 0));
    });
    return found;
  };
  const given = (amplitude: number, frequency: number) =>
    amplitude / 10 / leastPassed(still(), frequency);

  it('below the lowest line have the fit’s amplitude and 1.645 deviations, from 3 Hz on or where they stand out', () => {
    const at = (frequency: number) => ({
      amplitude: frequency === 1.125 ? 0.46 : 0.44,
      standard: 0.1,
    });
    const slow = seen(drawn({ at }), 1, 3.9);
    // A quarter of a bin apart, up to the slow sines' end at 2.5 Hz; below 3 Hz only what is 4.5 deviations strong.
    expect([...slow.keys()].filter((f) => f < 3)).toEqual([1.125]);
    expect(slow.get(1.125)).toBeCloseTo(given(0.46 + 0.1645, 1.125), 9);
    const record = drawn({ at });
    const wide = {
      ...record,
      analysis: { ...record.analysis, slow: { ...record.analysis.slow, end: 3.25 } },
    };
    expect([...seen(wide, 1, 9).keys()].filter((f) => f < 3.4)).toEqual([1.125, 3, 3.125, 3.25]);
    expect([...seen(wide, 1, 3.1).keys()].filter((f) => f < 3.4)).toEqual([1.125, 3]);
    expect(seen(wide, 3.1, 3.2).size).toBe(1);
  });

  it('in clean bins are what rounding hides', () => {
    const clean = seen(drawn({ waveform: still({ step: 0.3 }) }), 80, 82);
    expect([...clean.keys()]).toEqual([80, 80.5, 81, 81.5, 82]);
    for (const [frequency, amplitude] of clean)
      expect(amplitude).toBeCloseTo(given((2 / Math.PI) * 0.3, frequency), 9);
  });

  it('begin at the fifth bin and at 3 Hz, and end with the band or the spectrum', () => {
    const bins = (from: number, to: number) => [
      ...seen(drawn({ level: 1, found: 1 }), from, to).keys(),
    ];
    expect(bins(0, 4)).toEqual([3, 3.5, 4]);
    expect(bins(3.1, 4.4)).toEqual([3.5, 4]);
    expect(bins(499, 900)).toEqual([499, 499.5, 500]);
  });

  it('in noise are the smaller of two 95 % bounds', () => {
    for (const [power, segments] of [
      [0, 1],
      [1, 1],
      [6, 1],
      [1, 40],
      [1.3, 40],
      [0.5, 8],
    ] as const) {
      const found = seen(drawn({ found: power, level: 1, segments }), 100, 100).get(100);
      const beside = (Math.sqrt(power) + 1.645 * Math.sqrt(1 / 2 / segments)) ** 2;
      // t with t + 1.645 √((L² + 2 L t)/s) = p - L taken from above: w = 1.645² L/s.
      const [above, w] = [Math.max(0, power - 1), 1.645 ** 2 / segments];
      const taken = above + w + Math.sqrt(w * (2 * above + w + 1));
      const tone = Math.min(beside, taken);
      expect(found).toBeCloseTo(given(Math.sqrt(tone / 0.455), 100), 9);
      // By the definition of the bound: such a tone with so much less than expected gives this power.
      if (power > 1)
        expect(taken - 1.645 * Math.sqrt((1 + 2 * taken) / segments)).toBeCloseTo(above, 9);
    }
  });

  it('stand out all tone where there is no line, and are known where there is one', () => {
    const strong = 2 * noiseRatio(1);
    const record = (lines: Analysis['lines']) =>
      drawn({
        level: 1,
        found: 1,
        put: { 200: strong, 203: strong, 204: strong, 205: strong, 195: strong },
        lines,
      });
    const none = seen(record([]), 97, 103);
    expect(none.get(100)).toBeCloseTo(given(Math.sqrt(strong / 0.455), 100), 9);
    expect(none.get(101.5)).toBeCloseTo(given(Math.sqrt(strong / 0.455), 101.5), 9);
    const one = seen(record([{ frequency: 100, amplitude: 3 }]), 97, 103);
    // Four bins on either side are the line's; bins among the noise are bounded all the same.
    expect([one.has(100), one.has(101.5), one.has(102)]).toEqual([false, false, false]);
    expect([one.has(102.5), one.has(97.5), one.has(99)]).toEqual([true, true, true]);
    const later = seen(
      record([
        { frequency: 20, amplitude: 3 },
        { frequency: 101, amplitude: 3 },
      ]),
      97,
      103,
    );
    expect([later.has(100), later.has(102.5), later.has(97.5)]).toEqual([false, false, true]);
  });

  it('go by the noise of their own block, and never beyond 2', () => {
    const both = seen(drawn({ found: 0, level: 1 }), 199, 201);
    const bound = (level: number) => Math.sqrt((1.645 ** 2 * level) / 2 / 0.455);
    expect(both.get(199.5)).toBeCloseTo(given(bound(1), 199.5), 9);
    expect(both.get(200)).toBeCloseTo(given(bound(4), 200), 9);
    expect(seen(drawn({ found: 0, level: 1e4 }), 200, 200).get(200)).toBe(2);
  });
});

describe('the component that uses most of its limit', () => {
  const limit = (frequency: number) => (frequency < 90 ? 0.1 : 0.4);
  const two = [
    component({ frequency: 80, amplitude: 0.05, least: 0.04, most: 0.06, merged: 0.5 }),
    component({ frequency: 100, amplitude: 0.16, least: 0.1, most: 0.2, merged: 0 }),
  ];

  it('is named with its share', () => {
    expect(worstComponent(two, limit)).toEqual({ share: 0.5, frequency: 80 });
    expect(worstComponent([], limit)).toEqual({ share: 0, frequency: 0 });
  });

  it('is uncertain by what it may have lost or won', () => {
    const by = Object.fromEntries(
      shareContributions(two, limit).map(({ name, standard }) => [name, standard]),
    );
    expect(by['averaging and bandwidth']).toBeCloseTo(0.85 * 0.1, 12);
    // 0.04/0.1 is more than 0.1/0.4.
    expect(by['components folded down']).toBeCloseTo(0.1 / Math.sqrt(3), 12);
    expect(by['tones not told apart']).toBeCloseTo(0.25 / Math.sqrt(3), 12);
    expect(by['frequency against the limit']).toBeCloseTo(0, 12);
  });

  it('at a step of the limit may lie on the other side within two deviations', () => {
    const near = (frequency: number, deviation: number) =>
      shareContributions([component({ frequency, deviation, amplitude: 0.2 })], limit)[3]?.standard;
    expect(near(91, 0.6)).toBeCloseTo((2 - 0.5) / Math.sqrt(3), 12);
    expect(near(91, 0.4)).toBeCloseTo(0, 12);
    expect(near(89.5, 0.3)).toBeCloseTo((2 - 0.5) / Math.sqrt(3), 12);
    expect(shareContributions([], limit).map(({ standard }) => standard)).toEqual([0, 0, 0, 0]);
  });

  it('may be hidden, or have what rounding hides of it', () => {
    const waveform = still({ step: 0.3 });
    const blind = ((2 / Math.PI) * 0.3) / 10;
    const at = (frequency: number) => drawn({ lines: [{ frequency, amplitude: 2 }], waveform });
    const floor = (record: LitRecord, to = 300) => shareFloor(record, { from: 85, to }, limit);
    // Nothing but the codes: 0.1 below 90 Hz.
    const least = blind / leastPassed(waveform, 89.5) / 0.1;
    expect(floor(drawn({ waveform }))).toBeCloseTo(least, 9);
    expect(floor(at(150))).toBeCloseTo((0.2 + blind) / 0.4, 9);
    expect(floor(at(85))).toBeCloseTo((0.2 + blind) / 0.1, 9);
    expect(floor(at(300))).toBeCloseTo((0.2 + blind) / 0.4, 9);
    expect(floor(at(84))).toBeCloseTo(least, 9);
    expect(floor(at(301))).toBeCloseTo(least, 9);
  });
});

describe('components that set the period', () => {
  it('have a tenth of the strongest, or half of their own limit', () => {
    expect(setsPeriod(0.1, 1, 9)).toBe(true);
    expect(setsPeriod(0.099, 1, 9)).toBe(false);
    expect(setsPeriod(0.05, 1, 0.1)).toBe(true);
    expect(setsPeriod(0.049, 1, 0.1)).toBe(false);
  });

  it('a strict reader counts a hundredth, or a tenth of the limit; of what may have folded neither', () => {
    const limit = () => 0.02;
    const amplitudes = (list: readonly Component[]) => list.map(({ amplitude }) => amplitude);
    const all = [0.5, 0.05, 0.01, 0.0099, 0.005, 0.0049, 0.002, 0.0019].map((amplitude, k) =>
      component({ amplitude, frequency: 100 + k }),
    );
    const free = periodSetters(all, limit, 0);
    expect(amplitudes(free.sure)).toEqual([0.5, 0.05, 0.01]);
    expect(amplitudes(free.strict)).toEqual([0.5, 0.05, 0.01, 0.0099, 0.005, 0.0049, 0.002]);
    const folded = periodSetters(all, limit, 0.0099);
    expect(amplitudes(folded.sure)).toEqual([0.5, 0.05, 0.01]);
    expect(amplitudes(folded.strict)).toEqual([0.5, 0.05, 0.01]);
    expect(amplitudes(periodSetters(all, limit, 0.01).sure)).toEqual([0.5, 0.05]);
    const strict = periodSetters(all, () => 1, 0);
    expect(amplitudes(strict.sure)).toEqual([0.5, 0.05]);
    expect(amplitudes(strict.strict)).toEqual([0.5, 0.05, 0.01, 0.0099, 0.005]);
  });

  it('have the slowest one’s period, or a few of it where only those hold them all', () => {
    const period = (...frequencies: number[]) =>
      commonPeriod(frequencies.map((frequency) => component({ frequency, deviation: 0.01 })));
    expect(period(300, 100, 200)?.frequency).toBe(100);
    expect(period(200, 300)).toEqual({ frequency: 100, deviation: 0.005 });
    expect(period(100, 250)?.frequency).toBe(50);
    expect(period(600, 700)?.frequency).toBe(100);
    // Seven would be too many, and what shares nothing has the slowest one's.
    expect(period(700, 800)?.frequency).toBe(700);
    expect(period(100, 141.4)?.frequency).toBe(100);
    expect(period(100)?.frequency).toBe(100);
    expect(period()).toBe(undefined);
  });

  it('meet a multiple within three deviations, and tell nothing where those are wide', () => {
    const pair = (frequency: number, deviation: number, slow = 0) =>
      commonPeriod([
        component({ frequency: 100, deviation: slow }),
        component({ frequency, deviation }),
      ])?.frequency;
    expect(pair(200.9, 0.31)).toBe(100);
    // 219 is 11 · 20 but for 1, which three deviations of 0.31 do not reach, nor does any other of six bases.
    expect(pair(219, 0.31)).toBe(100);
    expect(pair(219, 0.34)).toBe(20);
    expect(pair(250.9, 0.31)).toBe(50);
    expect(pair(250, 8.4)).toBe(100);
    // The base's own deviation counts times the multiple: 3 · 3 · 0.4 = 3.6 off by 3.5, and then by 3.7.
    expect(pair(303.5, 0, 0.4)).toBe(100);
    expect(pair(350, 0, 0.4)).toBe(50);
    // A component slower than the base by a hair is one period of it.
    expect(
      commonPeriod([
        component({ frequency: 100, deviation: 1 }),
        component({ frequency: 101, deviation: 1 }),
      ])?.frequency,
    ).toBe(100);
  });
});

describe('modulation of a whole waveform', () => {
  const of = (extremes: Partial<Analysis['extremes']>, step = 0) =>
    wholeModulation(drawn({ extremes, waveform: still({ ...(step > 0 && { step }) }) }));
  const part = (found: ReturnType<typeof of>, name: string) =>
    'contributions' in found
      ? found.contributions.find((each) => each.name === name)?.standard
      : undefined;

  it('is that of the extremes behind the noise; the raw one of the samples', () => {
    expect(of({ low: 9, high: 11 })).toMatchObject({
      value: 0.1,
      raw: 0.2,
      low: 9,
      high: 11,
      floor: 0,
    });
    // Below zero it is dark.
    expect(of({ low: -1, high: 11 })).toMatchObject({ value: 1, low: 0, high: 11 });
    expect(of({ low: 5, high: 4 })).toMatchObject({ value: 0, low: 5, high: 5 });
  });

  it('changes with its ends as 2 l/(h + l)² and 2 h/(h + l)²', () => {
    const found = of({
      low: 5,
      high: 15,
      lowBetween: 0.3,
      highBetween: 0.2,
      lowCorrection: 0.1,
      highCorrection: 0.4,
    });
    expect(part(found, 'peaks between samples')).toBeCloseTo((10 * 0.2 + 30 * 0.3) / 400, 12);
    expect(part(found, 'noise correction')).toBeCloseTo(
      (0.2 * Math.hypot(10 * 0.4, 30 * 0.1)) / 400,
      12,
    );
    expect(part(found, 'rounding of the extremes')).toBe(undefined);
    expect(found).toMatchObject({ floor: expect.closeTo((2 * 0.2 * 5) / 400, 12) });
    // A dark gap can be no darker than dark.
    const dark = of({ low: 0.3, high: 15, lowBetween: 2 });
    expect(part(dark, 'peaks between samples')).toBeCloseTo(
      (30 / 15.3 ** 2) * (0.3 / Math.sqrt(3)),
      12,
    );
  });

  it('is rounded at both ends, and may hide half a step to either side of the mean', () => {
    const found = of({ low: 5, high: 15 }, 0.6);
    expect(part(found, 'rounding of the extremes')).toBeCloseTo((0.1 * 0.6) / Math.sqrt(12), 12);
    expect(found).toMatchObject({ floor: expect.closeTo(0.03, 12) });
  });

  it('is not told from pulses of one sample, unless it is dark between them', () => {
    const alone = { highAlone: true };
    expect(of({ low: 5, high: 15, ...alone })).toEqual({
      ...{ measured: false, reason: 'unresolved', found: 0.001, unit: 's' },
      note: 'pulses or gaps no longer than one sample: sample faster',
    });
    // 2 l (h - l)/(h + l)² against a tenth of (h - l)/(h + l): l up to a nineteenth of h.
    expect(of({ low: 1, high: 19.1, ...alone })).toHaveProperty('value');
    expect(of({ low: 1, high: 18.9, ...alone })).toHaveProperty('reason');
    // A gap alone: 2 h/(h + l)² · l/h is the same.
    expect(of({ low: 1, high: 19.1, lowAlone: true })).toHaveProperty('value');
    expect(of({ low: 1, high: 18.9, lowAlone: true })).toHaveProperty('reason');
    // Both: half as much.
    expect(of({ low: 1, high: 38.5, lowAlone: true, ...alone })).toHaveProperty('reason');
    expect(of({ low: 1, high: 39.5, lowAlone: true, ...alone })).toHaveProperty('value');
  });

  it('is told where a light between two codes flips', () => {
    expect(of({ low: 9, high: 10, highAlone: true }, 0.5)).toHaveProperty('value');
    expect(of({ low: 9, high: 10, highAlone: true }, 0.49)).toHaveProperty('reason');
  });
});

describe('severity and sensation of flicker', () => {
  it('by its percentiles: a sensation that runs evenly through its levels', () => {
    // Px = 1 - x/100: P1s, P3s, P10s, P50s are the means over their percentages.
    const even = Float64Array.from({ length: 100_001 }, (_, k) => ((k * 7919) % 100_001) / 100_000);
    const expected = Math.sqrt(
      0.0314 * 0.999 +
        0.0525 * (1 - 3.2 / 300) +
        0.0657 * (1 - 9.2 / 300) +
        0.28 * (1 - 54 / 500) +
        0.08 * (1 - 160 / 300),
    );
    expect(shortTermSeverity(even)).toBeCloseTo(expected, 9);
    expect(shortTermSeverity(new Float64Array(50).fill(2))).toBeCloseTo(0.713863 * Math.SQRT2, 5);
    expect(constantSeverity(2)).toBeCloseTo(0.713863 * Math.SQRT2, 5);
  });

  it('the light’s weighting and the lamp’s, by their printed polynomials', () => {
    // IEC TR 61547-1 eq. A.5 (from memory), computed by another program.
    for (const [f, expected] of [
      [1, 0.04589],
      [5, 0.2079],
      [8.8, 0.4214],
      [20, 0.2766],
      [40, 0.15941],
    ] as const)
      expect(magnitude(lightWeighting(4000), f, 4000)).toBeCloseTo(expected, 3);
    expect(magnitude(voltageWeighting('230V', 4000), 8.8, 4000)).toBeCloseTo(1.001714, 6);
    expect(magnitude(voltageWeighting('120V', 4000), 8.8, 4000)).toBeCloseTo(0.782615, 6);
    // k ω1 s (1 + s/ω2)/((s² + 2 λ s + ω1²)(1 + s/ω3)(1 + s/ω4)) at 3 Hz and 17 Hz, by hand in complex numbers.
    for (const f of [3, 17]) {
      const [k, l, w1, w2, w3, w4] = [1.74802, 4.05981, 9.15494, 2.27979, 1.22535, 21.9];
      const size =
        ((k * w1 * f) / Math.hypot(w1 ** 2 - f ** 2, 2 * l * f)) *
        (Math.hypot(1, f / w2) / Math.hypot(1, f / w3) / Math.hypot(1, f / w4));
      expect(magnitude(voltageWeighting('230V', 4000), f, 4000)).toBeCloseTo(size, 3);
    }
  });

  it('the band: 0.05 Hz to 35 or 42 Hz, and a memory of 0.3 s', () => {
    for (const [system, corner] of [
      ['230V', 35],
      ['120V', 42],
    ] as const) {
      const at = (f: number) => magnitude(flickerBand(system, 4000), f, 4000);
      expect(at(0.05)).toBeCloseTo(Math.SQRT1_2, 6);
      expect(at(corner)).toBeCloseTo(Math.SQRT1_2, 4);
      expect(at(2 * corner)).toBeCloseTo(1 / Math.sqrt(1 + 2 ** 12), 3);
      expect(at(5)).toBeCloseTo(1, 3);
    }
    expect(magnitude(flickerMemory(4000), 1 / (2 * Math.PI * 0.3), 4000)).toBeCloseTo(
      Math.SQRT1_2,
      9,
    );
  });

  it('of a sine: half the square of what is weighted, and its ripple at twice the frequency', () => {
    const [rate, scale] = [2000, 1.1016e6];
    for (const f of [5, 8.8, 20]) {
      const m = 0.01;
      const light = sampled((t) => 50 * (1 + m * Math.sin(2 * Math.PI * f * t)), rate, 24);
      const chain = [...flickerBand('230V', rate), ...lightWeighting(rate)];
      const mean = (scale * (m * magnitude(chain, f, rate)) ** 2) / 2;
      const ripple = 1 / Math.hypot(1, 4 * Math.PI * f * 0.3);
      expect(largestSensation(light, 50, scale) / (mean * (1 + ripple))).toBeCloseTo(1, 2);
      expect(
        lightSeverity(light, 50, scale) / Math.sqrt(0.5096 * mean * (1 + 0.6 * ripple)),
      ).toBeCloseTo(1, 1);
      // Linear in the modulation, and in the root of the scale.
      const twice = sampled((t) => 50 * (1 + 2 * m * Math.sin(2 * Math.PI * f * t)), rate, 24);
      expect(lightSeverity(twice, 50, scale) / lightSeverity(light, 50, scale)).toBeCloseTo(2, 6);
      expect(lightSeverity(light, 50, 4) / lightSeverity(light, 50, 1)).toBeCloseTo(2, 9);
      expect(largestSensation(light, 50, 4) / largestSensation(light, 50, 1)).toBeCloseTo(4, 9);
    }
  });

  it('at a higher rate is the same, by every so many samples', () => {
    const light = (rate: number) =>
      sampled((t) => 50 * (1 + 0.01 * Math.sin(2 * Math.PI * 9 * t)), rate, 12);
    const at = (rate: number) => lightSeverity(light(rate), 50, 1e6);
    expect(at(8000) / at(4000)).toBeCloseTo(1, 3);
    expect(at(7000) / at(4000)).toBeCloseTo(1, 3);
  });

  it('lies within 1 % of analogue filters at 4 kS/s, as the inverse square of the rate after every so many samples', () => {
    expect(realisedWithin(4000)).toBeCloseTo(0.01, 12);
    expect(realisedWithin(2000)).toBeCloseTo(0.04, 12);
    expect(realisedWithin(6000)).toBeCloseTo(0.01 * (4 / 6) ** 2, 12);
    // 9 kS/s are taken two by two: 4.5 kS/s.
    expect(realisedWithin(9000)).toBeCloseTo(0.01 * (4 / 4.5) ** 2, 12);
    expect(realisedWithin(20_000)).toBeCloseTo(0.01, 12);
  });

  it('leaves no moment of a record out: the beginning is seen backwards', () => {
    const rate = 500;
    const burst = (from: number) =>
      Float64Array.from({ length: 24 * rate }, (_, k) => {
        const t = k / rate - from;
        return t > 0 && t < 1 ? Math.sin(2 * Math.PI * 9 * t) : 0;
      });
    const run = (from: number) =>
      flickerSensation(
        burst(from),
        rate,
        [...flickerBand('230V', rate), ...lightWeighting(rate)],
        flickerMemory(rate),
      );
    const peak = (from: number) => {
      const sensation = run(from);
      const at = sensation.indexOf(Math.max(...sensation)) / rate;
      return { size: Math.max(...sensation), at: at - from };
    };
    const middle = peak(15);
    const early = peak(2);
    expect(early.size / middle.size).toBeGreaterThan(0.9);
    expect(early.size / middle.size).toBeLessThan(1.1);
    // Backwards the memory looks ahead: the peak lies at the burst's beginning.
    expect(middle.at).toBeGreaterThan(0.6);
    expect(early.at).toBeLessThan(0.4);
    expect(run(15).length).toBe(24 * rate);
    expect(run(15)[9 * rate]).toBeLessThan(1e-3 * middle.size);
  });

  it('a record has at the least what its noise and its codes make', () => {
    const of = (noise: number, step: number) =>
      leastSensation(drawn({ noise, waveform: still({ ...(step > 0 && { step }) }) }), 1e6);
    // (s/mean)² · 2/rate · 2.7 Hz.
    expect(of(0.2, 0)).toBeCloseTo(1e6 * 0.0004 * (2 / 1000) * 2.7, 9);
    const sine = ((((2 / Math.PI) * 0.3) / 10) * 0.4365) ** 2 / 2;
    expect(of(0, 0.3)).toBeCloseTo(1e6 * sine, 9);
    // Noise of half a code before the rounding leaves e^(-π²/2) of the wave.
    const noise = Math.sqrt(0.25 + 1 / 12) * 0.3;
    const scatter = (noise / 10) ** 2 * (2 / 1000) * 2.7;
    expect(of(noise, 0.3)).toBeCloseTo(1e6 * (scatter + sine * Math.exp(-(Math.PI ** 2))), 9);
  });

  it('noise and a sine add what they would have alone', () => {
    // A floor of 0.01 in bins of 0.5 Hz about a mean of 10: density 1e-4/Hz; in bins of 0.2 Hz 2.5 times as much.
    const record = drawn({ level: 0.01 });
    expect(noiseSeverity(record, 4e4)).toBeCloseTo(1.38 * Math.sqrt(1e-4 * 4e4), 12);
    const { analysis, waveform } = record;
    const fine = {
      waveform,
      analysis: { ...analysis, spectrum: { ...analysis.spectrum, step: 0.2 } },
    };
    expect(noiseSeverity(fine, 4e4)).toBeCloseTo(1.38 * Math.sqrt(2.5e-4 * 4e4), 12);
    expect(sineSeverity(0.004, 1.1016e6)).toBeCloseTo(0.9036, 9);
    expect(sineSeverity(0.002, 4 * 1.1016e6)).toBeCloseTo(0.9036, 9);
  });

  it('is named with its scale', () => {
    expect([scaleOf({}), scaleOf({ scale: 5 })]).toEqual([1.1016e6, 5]);
    expect(scaleWords({})).toBe('scale 1.1016e6');
    expect(scaleWords({ scale: 1.23835e6 })).toBe('scale 1.23835e6');
  });
});

describe('a record that flicker can be told from', () => {
  const lit = (waveform: Waveform) =>
    litRecord(observing(modulation, waveform), { signals: ['light'], scope: 'one' });

  it('has sixteen samples', () => {
    expect(lit(sampled((t) => 5 + t, 1000, 0.015))).toEqual({
      ...{ measured: false, reason: 'too-short', found: 0.015, needed: 0.016, unit: 's' },
    });
    expect(lit(sampled((t) => 5 + t, 1000, 0.016))).toHaveProperty('analysis');
    expect(lit(sampled(() => Number.NaN, 1000, 1))).toMatchObject({ reason: 'not-finite' });
  });

  it('has light: more than a step, and than five standard uncertainties of its mean', () => {
    const steps = (mean: number, step: number) =>
      sampled((t) => mean + (t > 0.5 ? 1e-6 : 0), 1000, 1, { step });
    expect(lit(steps(0.1, 0.2))).toMatchObject({ reason: 'dark', needed: 0.2, unit: 'lx' });
    expect(lit(steps(0.21, 0.2))).toHaveProperty('analysis');
    // Alternating by ± 1: sixth differences see 64/(0.67449 √924).
    const noise = 64 / (0.67449 * Math.sqrt(924));
    const least = (5 * noise) / Math.sqrt(1000);
    const noisy = (mean: number) =>
      sampled((t) => mean + (Math.round(t * 1000 - 0.5) % 2 ? 1 : -1), 1000, 1);
    expect(lit(noisy(0.98 * least))).toMatchObject({
      reason: 'dark',
      needed: expect.closeTo(least, 9),
    });
    expect(lit(noisy(1.02 * least))).toHaveProperty('analysis');
    expect(lit(sampled(() => 0, 1000, 1))).toMatchObject({ reason: 'dark', found: 0 });
  });

  it('moves, or says how fine it is', () => {
    expect(lit(sampled(() => 5, 1000, 1))).toEqual({
      ...{ measured: false, reason: 'unresolved' },
      note: 'every sample is the same, and the step of the converter is not stated',
    });
    expect(lit(sampled(() => 5, 1000, 1, { step: 0.1 }))).toHaveProperty('analysis');
  });
});

describe('refusals', () => {
  it('without a line: what would have shown has five periods', () => {
    expect(noPeriodicity(still())).toEqual({
      ...{ measured: false, reason: 'no-periodicity', found: 2, unit: 's' },
      note: 'shows periodic light from 2.5 Hz on',
    });
    expect(noPeriodicity(sampled(() => 1, 1000, 0.7)).note).toBe(
      'shows periodic light from 7.1 Hz on',
    );
  });

  it('of a record too slow or too narrow for the flicker that is asked for, a thousandth aside', () => {
    const at = (rate: number, upTo?: number, bandwidth?: number) =>
      bandUnseen(
        { ...still(), rate, ...(bandwidth !== undefined && { bandwidth }) },
        upTo === undefined ? {} : { 'up-to': upTo },
      );
    expect(at(10_000)).toBe(null);
    expect(at(9995)).toBe(null);
    expect(at(9985)).toEqual({
      ...{ measured: false, reason: 'too-slow', found: 9985, needed: 10_000, unit: 'Hz' },
    });
    // No less than 4 kHz.
    expect(at(9985, 1000)?.reason).toBe('too-slow');
    expect(at(24_900, 10_000)).toMatchObject({ needed: 25_000 });
    expect(at(25_000, 10_000, 9995)).toBe(null);
    expect(at(25_000, 10_000, 9985)).toEqual({
      ...{ measured: false, reason: 'too-narrow', found: 9985, needed: 10_000, unit: 'Hz' },
    });
  });
});
