import { describe, expect, it } from 'vitest';
import { noiseFloor } from '../../../harness/measure/signal/noise-floor.ts';
import {
  type PowerSpectrum,
  powerSpectrum,
} from '../../../harness/measure/signal/power-spectrum.ts';
import {
  noiseRatio,
  spectralLines,
  strongestLine,
} from '../../../harness/measure/signal/spectral-lines.ts';
import { windowFunction } from '../../../harness/measure/signal/window-function.ts';

/** A record of `length` samples, symmetric about its middle, so that no slope is taken off. */
const symmetric = (length: number, value: (fromMiddle: number) => number) =>
  Float64Array.from({ length }, (_, k) => value(k - (length - 1) / 2));

const bins = (power: Float64Array, first: number, end: number) => [...power.subarray(first, end)];

describe('power spectrum', () => {
  it('of a tone on a bin: the window’s own coefficients, whose sum is the amplitude squared', () => {
    const samples = symmetric(64, (n) => 7 + 3 * Math.cos((2 * Math.PI * 10 * n) / 64));
    const hann = powerSpectrum({ samples, rate: 640 }, Infinity, 'hann');
    // 4 (3/2 · 0.5)² / 0.375 = 6 in the middle, a quarter of it beside.
    for (const [k, expected] of bins(hann.power, 7, 14).entries())
      expect(expected).toBeCloseTo([0, 0, 1.5, 6, 1.5, 0, 0][k] ?? -1, 9);
    expect(hann).toMatchObject({ step: 10, length: 64, segments: 1, window: 'hann' });
    expect(hann.power.length).toBe(33);
    expect(hann.mean).toBeCloseTo(7, 9);
    const { power, window } = powerSpectrum({ samples, rate: 640 });
    expect(window).toBe('blackman-harris');
    expect(bins(power, 6, 15).reduce((sum, each) => sum + each)).toBeCloseTo(9, 8);
    expect(power[10]).toBeCloseTo((9 * 0.35875 ** 2) / windowFunction(window, 64).power, 8);
  });

  it('is blind to a level and a slope, and has the mean in the middle', () => {
    const samples = Float64Array.from({ length: 100 }, (_, k) => 5 - 0.25 * k);
    const { power, mean } = powerSpectrum({ samples, rate: 1 });
    expect(Math.max(...power)).toBeLessThan(1e-24);
    expect(mean).toBeCloseTo(5 - 0.25 * 49.5, 12);
  });

  it('weighs the mean by the window', () => {
    const samples = symmetric(50, (n) => n * n);
    const { weights } = windowFunction('hann', 50);
    const sum = weights.reduce((all, weight, k) => all + weight * (samples[k] ?? 0), 0);
    const { mean } = powerSpectrum({ samples, rate: 1 }, Infinity, 'hann');
    expect(mean).toBeCloseTo(sum / 25, 9);
  });

  it('averages segments of the wanted time, spread evenly over the record', () => {
    // Three stretches of 100 samples with amplitudes 1, 2 and 3.
    const samples = Float64Array.from(
      { length: 300 },
      (_, k) => (1 + Math.floor(k / 100)) * Math.cos((2 * Math.PI * 10 * ((k % 100) - 49.5)) / 100),
    );
    const found = powerSpectrum({ samples, rate: 50 }, 2, 'hann');
    expect(found).toMatchObject({ segments: 3, length: 100, step: 0.5 });
    expect(found.power[10]).toBeCloseTo((((1 + 4 + 9) / 3) * 2) / 3, 9);
    // The same mean level in each, half a segment apart.
    const steps = Float64Array.from({ length: 250 }, (_, k) => (k < 75 ? 0 : k < 150 ? 4 : 8));
    const three = powerSpectrum({ samples: steps, rate: 50 }, 2, 'rectangular');
    expect(three.segments).toBe(3);
    // Parts 0 … 99, 75 … 174 and 150 … 249: means 1, 5 and 8.
    expect(three.mean).toBeCloseTo((1 + 5 + 8) / 3, 9);
  });

  it.each([
    [150, 1, 150],
    [151, 2, 100],
    [249, 2, 100],
    [251, 3, 100],
    [101, 1, 100],
    [2, 1, 2],
    [3, 1, 2],
  ])('takes a record of %s samples as %s of %s', (length, segments, part) => {
    const samples = new Float64Array(length);
    expect(powerSpectrum({ samples, rate: 50 }, 2)).toMatchObject({ segments, length: part });
  });

  it('goes by ten seconds where nobody says more', () => {
    const { segments, length } = powerSpectrum({ samples: new Float64Array(400), rate: 20 });
    expect([segments, length]).toEqual([2, 200]);
    expect(powerSpectrum({ samples: new Float64Array(300), rate: 20 }).segments).toBe(1);
  });

  it('needs two samples', () => {
    expect(() => powerSpectrum({ samples: new Float64Array(1), rate: 1 })).toThrow(
      'A spectrum needs at least two samples.',
    );
  });
});

describe('noise floor', () => {
  /** 20 % quantiles of averaged noise: of the exponential distribution -ln 0.8, of chi-square with 8 degrees of freedom 4.594/8 (tables). */
  it.each([
    [1, -Math.log(0.8), 0.02],
    [4, 4.594 / 8, 0.005],
  ])('of %s segments divides by the quantile of noise of mean 1', (segments, quantile, part) => {
    const { levels, rms } = noiseFloor({
      power: new Float64Array(101).fill(3),
      segments,
    } as PowerSpectrum);
    expect(levels.length).toBe(1);
    expect(Math.abs(((levels[0] ?? 0) * quantile) / 3 - 1)).toBeLessThan(part);
    // s² = half of all bins' power, but for the mean's.
    expect(rms).toBeCloseTo(Math.sqrt(((levels[0] ?? 0) * 100) / 2), 12);
  });

  it('stands in blocks an octave wide, 128 bins at least, the rest with the last', () => {
    const ends = (length: number) => [
      ...noiseFloor({ power: new Float64Array(length), segments: 1 } as PowerSpectrum).ends,
    ];
    expect(ends(1025)).toEqual([129, 258, 516, 1025]);
    expect(ends(257)).toEqual([129, 257]);
    expect(ends(256)).toEqual([256]);
    expect(ends(644)).toEqual([129, 258, 516, 644]);
    expect(ends(643)).toEqual([129, 258, 643]);
    expect(ends(2)).toEqual([2]);
  });

  it('is the value that a fifth of a block’s bins lies below', () => {
    const power = Float64Array.from({ length: 258 }, (_, k) =>
      k < 129 ? 1000 + k : (k * 37) % 129,
    );
    const flat = noiseFloor({ power: new Float64Array(258).fill(1), segments: 1 } as PowerSpectrum);
    const { levels, rms } = noiseFloor({ power, segments: 1 } as PowerSpectrum);
    const [one = 0, two = 0] = levels;
    const per = flat.levels[0] ?? 0;
    // 128 bins 1001 … 1128: the one at place 25; 129 bins 0 … 128: at place 25 too.
    expect(one / per).toBeCloseTo(1026, 6);
    expect(two / per).toBeCloseTo(25, 6);
    expect(rms).toBeCloseTo(Math.sqrt((128 * one + 129 * two) / 2), 6);
  });

  it('is found in very many bins too, whatever lines stand in every second or third', () => {
    for (const apart of [2, 3]) {
      const power = Float64Array.from({ length: 200_000 }, (_, k) => (k % apart === 0 ? 1e6 : 1));
      const { levels } = noiseFloor({ power, segments: 1 } as PowerSpectrum);
      if (apart === 2) for (const level of levels) expect(level).toBeLessThan(5);
      else expect(levels[0]).toBeLessThan(5);
    }
  });
});

describe('how far noise reaches', () => {
  it.each([1, 2, 5, 60])('of %s segments: t - 1 - ln t = 22/segments', (segments) => {
    const t = noiseRatio(segments);
    expect(t).toBeGreaterThan(1);
    expect(t - 1 - Math.log(t)).toBeCloseTo(22 / segments, 9);
  });
});

/** A spectrum of 200 bins 0.5 Hz apart, nothing but what is put there; its noise floor. */
function drawn(
  put: Readonly<Record<number, number>>,
  level = 0,
  window: PowerSpectrum['window'] = 'blackman-harris',
) {
  const power = new Float64Array(200).fill(level);
  for (const [k, value] of Object.entries(put)) power[Number(k)] = value;
  const spectrum: PowerSpectrum = { power, mean: 0, step: 0.5, length: 400, segments: 1, window };
  const floor = { levels: Float64Array.of(level), ends: Int32Array.of(200), rms: 0 };
  return { spectrum, floor };
}

const linesOf = (...given: Parameters<typeof drawn>) => {
  const { spectrum, floor } = drawn(...given);
  return spectralLines(spectrum, floor);
};

describe('lines of a spectrum', () => {
  it('have the root of their lobe’s power as amplitude, and its centre as frequency', () => {
    // Σ 1 + 4 + 9 + 2 = 16, centre 100 + (-2 - 4 + 2)/16.
    const [line, ...others] = linesOf({ 98: 1, 99: 4, 100: 9, 101: 2 });
    expect(others).toEqual([]);
    expect(line?.amplitude).toBeCloseTo(4, 12);
    expect(line?.frequency).toBeCloseTo((100 - 4 / 16) * 0.5, 12);
    expect(line).not.toHaveProperty('spread');
  });

  it('are less the noise in each of their bins', () => {
    // Nine bins ± 4 hold 9 · 0.01 of noise.
    const [line] = linesOf({ 100: 9 }, 0.01);
    expect(line?.amplitude).toBeCloseTo(Math.sqrt(9 - 0.01), 9);
    expect(line?.frequency).toBeCloseTo(50, 12);
  });

  it('stand out by the ratio that noise alone reaches', () => {
    const ratio = noiseRatio(1);
    expect(linesOf({ 100: 1.001 * ratio }, 1).length).toBe(1);
    expect(linesOf({ 100: 0.999 * ratio }, 1)).toEqual([]);
  });

  it('stand out of side lobes 90 dB down', () => {
    expect(linesOf({ 50: 1, 100: 1.1e-9 }).length).toBe(2);
    expect(linesOf({ 50: 1, 100: 0.9e-9 }).length).toBe(1);
    expect(linesOf({})).toEqual([]);
  });

  it('begin at the fifth bin, and the strongest counts from the fourth', () => {
    expect(linesOf({ 4: 1 })).toEqual([]);
    expect(linesOf({ 5: 1 })[0]?.frequency).toBeCloseTo(2.5, 12);
    expect(linesOf({ 3: 1, 100: 1e-10 }).length).toBe(1);
    expect(linesOf({ 4: 1, 100: 1e-10 }).length).toBe(0);
    // The last bin may be one.
    expect(linesOf({ 199: 1 })[0]?.frequency).toBeCloseTo(99.5, 12);
  });

  it('are one where two peaks lie within three bins, and the first of equals', () => {
    expect(linesOf({ 100: 4, 103: 3 }).length).toBe(1);
    expect(linesOf({ 100: 3, 103: 4 }).length).toBe(1);
    expect(linesOf({ 100: 4, 104: 3 }).length).toBe(2);
    expect(linesOf({ 100: 3, 104: 4 }).length).toBe(2);
    const [both, ...none] = linesOf({ 100: 2, 101: 2 });
    expect(none).toEqual([]);
    expect(both?.amplitude).toBeCloseTo(2, 12);
    expect(both?.frequency).toBeCloseTo(50.25, 12);
  });

  it('share what lies between them at the valley', () => {
    // Valley at 102 (1): it belongs to the upper line, whose lower end it is.
    const [one, two] = linesOf({ 99: 3, 100: 9, 101: 4, 102: 1, 103: 2, 104: 8, 105: 3 });
    expect(one?.amplitude).toBeCloseTo(Math.sqrt(3 + 9 + 4), 12);
    expect(two?.amplitude).toBeCloseTo(Math.sqrt(1 + 2 + 8 + 3), 12);
    expect(one?.frequency).toBeCloseTo((100 + (-3 + 4) / 16) / 2, 12);
    expect(two?.frequency).toBeCloseTo((104 + (-2 - 2 + 3) / 14) / 2, 12);
  });

  it('end at the lobe’s four bins, but for what still stands out', () => {
    const small = 1e-10;
    // Below the threshold of 9e-9, five bins away: not the line's; above it: the line's.
    const near = { 96: small, 97: small, 98: small, 99: small, 100: 9 };
    expect(linesOf({ ...near, 95: 8e-9 })[0]?.amplitude).toBeCloseTo(3, 9);
    const flank = [0.6, 0.5, 0.4, 0.3, 0.2, 0.1];
    for (const side of [-1, 1]) {
      const wide = Object.fromEntries(flank.map((value, k) => [100 + side * (k + 1), value]));
      expect(linesOf({ 100: 9, ...wide })[0]?.amplitude).toBeCloseTo(Math.sqrt(11.1), 12);
    }
  });

  it('of what is higher than their peak take nothing', () => {
    // Below bin 5 no line is looked for. What stands there ends the line, at the valley or where it is higher.
    const valley = linesOf({ 1: 60, 2: 55, 3: 50, 4: 20, 5: 3, 6: 1, 7: 2, 8: 4, 9: 2 });
    expect(valley[0]?.amplitude).toBeCloseTo(Math.sqrt(1 + 2 + 4 + 2), 12);
    const flank = linesOf({ 3: 50, 4: 20, 5: 3, 6: 1, 7: 2, 8: 4, 9: 2 });
    expect(flank[0]?.amplitude).toBeCloseTo(Math.sqrt(3 + 1 + 2 + 4 + 2), 12);
    const equal = linesOf({ 3: 4, 4: 1, 5: 1, 6: 1, 7: 4, 8: 1 });
    expect(equal[0]?.amplitude).toBeCloseTo(Math.sqrt(4 + 1 + 1 + 1 + 4 + 1), 12);
  });

  it('have a spread where they are wider than a lone tone', () => {
    // Second moment of ± 3 alone: 9 bins², less 0.6193 and 0.02.
    const [wide] = linesOf({ 97: 1, 98: 1, 99: 1, 100: 1.0001, 101: 1, 102: 1, 103: 1 });
    expect(wide?.spread).toBeCloseTo(0.5 * Math.sqrt(4 - 0.6393), 3);
    const narrow = linesOf({ 99: 1, 100: 4, 101: 1 });
    expect(narrow[0]).not.toHaveProperty('spread');
    // Asymmetric: moments about the centre, not about the peak.
    const [lean] = linesOf({ 100: 4, 101: 2, 102: 2, 103: 2, 104: 2 });
    const centre = 20 / 12;
    expect(lean?.spread).toBeCloseTo(
      0.5 * Math.sqrt((2 * (1 + 4 + 9 + 16)) / 12 - centre ** 2 - 0.6393),
      9,
    );
  });

  it('have none that noise explains', () => {
    // Per bin 1e-3 of noise on a line of 7: three standard deviations √(708 q² + 2.4 q), q = level/power.
    const put = { 97: 1, 98: 1, 99: 1, 100: 1.0001, 101: 1, 102: 1, 103: 1 };
    const [line] = linesOf(put, 1e-3);
    const power = 7.0001 - 7e-3;
    const q = 1e-3 / power;
    const moment = (2 * (1 + 4 + 9) * (1 - 1e-3)) / power;
    const expected = moment - 0.6393 - 3 * Math.sqrt(708 * q * q + 2.4 * q);
    expect(line?.spread).toBeCloseTo(0.5 * Math.sqrt(expected), 9);
  });

  it('of a Hann window reach over two bins, from the third on', () => {
    expect(linesOf({ 3: 1 }, 0, 'hann').length).toBe(1);
    expect(linesOf({ 2: 1 }, 0, 'hann').length).toBe(0);
    expect(linesOf({ 100: 4, 102: 3 }, 0, 'hann').length).toBe(2);
    expect(linesOf({ 100: 4, 101: 3 }, 0, 'hann').length).toBe(1);
  });

  it('go by the noise of their own block', () => {
    const { spectrum } = drawn({ 20: 100, 150: 100 });
    const floor = { levels: Float64Array.of(10, 1), ends: Int32Array.of(100, 200), rms: 0 };
    expect(spectralLines(spectrum, floor).map(({ frequency }) => frequency)).toEqual([75]);
    const turned = { levels: Float64Array.of(1, 10), ends: Int32Array.of(100, 200), rms: 0 };
    expect(spectralLines(spectrum, turned).map(({ frequency }) => frequency)).toEqual([10]);
    // A first block that ends below the fifth bin.
    const short = { levels: Float64Array.of(1, 1, 10), ends: Int32Array.of(3, 100, 200), rms: 0 };
    expect(spectralLines(spectrum, short).map(({ frequency }) => frequency)).toEqual([10]);
    // At a border between two: each bin once.
    const { spectrum: border } = drawn({ 100: 100 });
    expect(spectralLines(border, floor).length).toBe(1);
  });
});

describe('the strongest line', () => {
  const line = (frequency: number, amplitude: number) => ({ frequency, amplitude });
  const nothing = { power: new Float64Array(50) };

  it('is the slowest of those that reach nine tenths of the largest', () => {
    expect(strongestLine([line(1, 0.89), line(2, 0.9), line(3, 1)], nothing)?.frequency).toBe(2);
    expect(strongestLine([line(1, 0.5), line(2, 1), line(3, 0.95)], nothing)?.frequency).toBe(2);
    expect(strongestLine([], nothing)).toBe(undefined);
  });

  it('is none where what is too slow for a line holds three quarters of its power', () => {
    const slow = (...bins: number[]) => ({ power: Float64Array.from([9, ...bins, 0, 0, 0]) });
    const lines = [line(10, 2)];
    expect(strongestLine(lines, slow(1, 1, 0.5, 0.49))).toEqual(line(10, 2));
    expect(strongestLine(lines, slow(1, 1, 0.5, 0.51))).toBe(undefined);
    expect(strongestLine(lines, slow(0, 0, 0, 0, 8))).toEqual(line(10, 2));
    expect(strongestLine(lines, { power: Float64Array.of(0, 3.1) })).toBe(undefined);
  });
});
