import { describe, expect, it } from 'vitest';
import type { NoiseFloor } from '../../../harness/measure/signal/noise-floor.ts';
import { powerSpectrum } from '../../../harness/measure/signal/power-spectrum.ts';
import { slowCourse } from '../../../harness/measure/signal/slow-course.ts';
import { type SlowSines, slowSines } from '../../../harness/measure/signal/slow-sines.ts';
import type { SpectralLine } from '../../../harness/measure/signal/spectral-lines.ts';

describe('the slow course of a record', () => {
  it('is the record itself, rooted Hann-weighted, where it is short', () => {
    const samples = Float64Array.from({ length: 100 }, (_, k) => Math.sin(k * k));
    const { values, roots, at, passed } = slowCourse(samples);
    expect([...at]).toEqual([...samples.keys()]);
    for (const k of [0, 1, 50, 99]) {
      expect(roots[k]).toBeCloseTo(Math.sin((Math.PI * (k + 0.5)) / 100), 12);
      expect(values[k]).toBeCloseTo((roots[k] ?? 9) * (samples[k] ?? 9), 12);
    }
    expect(passed(0.1)).toBeCloseTo(1, 12);
  });

  it('takes a mean over three strides about each of 256 places or so', () => {
    // 2560 samples: strides of 10, a kernel of 28, the first middle at 13.5.
    const { roots, at } = slowCourse(new Float64Array(2560));
    expect(at.length).toBe(254);
    expect([at[0], at[1], at[253]]).toEqual([13.5, 23.5, 2543.5]);
    expect(roots[0]).toBeCloseTo(Math.sin((Math.PI * 0.5) / 254), 12);
    expect(slowCourse(new Float64Array(511)).at.length).toBe(511);
    // 512 samples: strides of 2, a kernel of 4.
    expect(slowCourse(new Float64Array(512)).at.length).toBe(255);
    expect(slowCourse(new Float64Array(0)).at.length).toBe(0);
  });

  it('leaves a constant and a slope as they are, and of a sine what the boxcars’ response says', () => {
    for (const value of [() => 3, (k: number) => 2 - 0.01 * k]) {
      const { values, roots, at } = slowCourse(
        Float64Array.from({ length: 1000 }, (_, k) => value(k)),
      );
      for (const [k, middle] of at.entries())
        expect((values[k] ?? 9) / (roots[k] ?? 9)).toBeCloseTo(value(middle), 9);
    }
    for (const frequency of [0.004, 0.03, 0.07]) {
      const wave = (k: number) => Math.cos(2 * Math.PI * frequency * k + 0.3);
      const { values, roots, at, passed } = slowCourse(
        Float64Array.from({ length: 2560 }, (_, k) => wave(k)),
      );
      const boxcar = Math.sin(10 * Math.PI * frequency) / (10 * Math.sin(Math.PI * frequency));
      expect(passed(frequency)).toBeCloseTo(boxcar ** 3, 12);
      for (const [k, middle] of at.entries())
        expect((values[k] ?? 9) / (roots[k] ?? 9)).toBeCloseTo(boxcar ** 3 * wave(middle), 9);
    }
  });
});

const length = 2000;
const none: NoiseFloor = { levels: Float64Array.of(0), ends: Int32Array.of(1001), rms: 0 };

/** What of a record of 2000 samples at 1 kS/s, without noise but for a stated one, is slow. Frequencies are in bins of 0.5 Hz. */
function slowIn(
  light: (part: number) => number,
  lines: readonly SpectralLine[] = [],
  deviation = 0,
): SlowSines {
  const samples = Float64Array.from({ length }, (_, k) => light((k + 0.5) / length));
  const level = (4 * deviation ** 2) / length;
  const floor = { ...none, levels: Float64Array.of(level) };
  return slowSines(samples, powerSpectrum({ samples, rate: 1000 }), floor, lines);
}

const sine =
  (bins: number, phase = 0.4) =>
  (part: number) =>
    Math.sin(2 * Math.PI * bins * part + phase);

describe('sines below the spectrum’s lowest line', () => {
  it.each([2.3, 2.8, 3.5, 4.1, 4.9])(
    'one of %s periods is found as it is, beside a drift',
    (bins) => {
      for (const phase of [0, 1, 2, 3]) {
        const wave = sine(bins, phase);
        const { lines, mean } = slowIn((x) => 7 + 0.3 * wave(x) + 0.5 * (x - 0.5));
        expect(lines.length).toBe(1);
        expect(lines[0]?.frequency).toBeCloseTo(bins / 2, 3);
        expect(lines[0]?.amplitude).toBeCloseTo(0.3, 3);
        expect(mean).toBeCloseTo(7, 3);
      }
    },
  );

  it('one beside a drift that bends is found too, and two at once', () => {
    const bent = (x: number) => 2 * (x - 0.5) ** 3 - (x - 0.5) ** 2;
    const { lines } = slowIn((x) => 7 + 0.3 * sine(3.2)(x) + bent(x));
    expect(lines.map(({ frequency }) => frequency)).toEqual([expect.closeTo(1.6, 3)]);
    const both = slowIn((x) => 7 + 0.3 * sine(4.6, 1)(x) + 0.2 * sine(2.7)(x)).lines;
    // Within half a bin: so close together each stands on the flank of the other.
    expect(both.length).toBe(2);
    expect(Math.abs((both[0]?.frequency ?? 0) - 1.35)).toBeLessThan(0.25);
    expect(Math.abs((both[1]?.frequency ?? 0) - 2.3)).toBeLessThan(0.25);
  });

  it('none of two periods or fewer is, nor a drift, a step, or nothing', () => {
    for (const light of [
      () => 5,
      (x: number) => 5 + x,
      (x: number) => 5 + x ** 3,
      (x: number) => 5 + sine(1.5)(x),
      (x: number) => 5 + sine(0.7)(x),
      (x: number) => (x < 0.37 ? 5 : 6),
    ]) {
      const { lines, mean } = slowIn(light);
      expect(lines).toEqual([]);
      expect(mean).toBeNaN();
    }
  });

  it('lie up to a bin above the window’s lobe', () => {
    expect(slowIn(() => 1).end).toBe(2.5);
    expect(slowIn((x) => 7 + sine(4.9)(x)).lines.length).toBe(1);
    const fast = slowIn((x) => 7 + sine(5.6)(x), [{ frequency: 2.8, amplitude: 1 }]);
    expect(fast.lines).toEqual([]);
  });

  it('stand out of the noise by five standard deviations', () => {
    // Noise of s in 2000 samples, Hann-weighted: 2 s/√2000 on the amplitude, and a little more beside a drift.
    const standard = 2 / Math.sqrt(length);
    const light = (x: number) => 7 + 0.1 * sine(3.5)(x);
    expect(slowIn(light, [], 0.1 / (6.5 * standard)).lines.length).toBe(1);
    expect(slowIn(light, [], 0.1 / (4.9 * standard)).lines).toEqual([]);
  });

  it('beside lines of the spectrum those are fitted along', () => {
    const fast = (x: number) => 0.5 * sine(8.3, 2)(x) + 0.4 * sine(6.6, 1)(x);
    const known = [
      { frequency: 3.3, amplitude: 0.4 },
      { frequency: 4.15, amplitude: 0.5 },
    ];
    const { lines, mean } = slowIn((x) => 7 + 0.05 * sine(3.1)(x) + fast(x), known);
    expect(lines).toEqual([
      { frequency: expect.closeTo(1.55, 3), amplitude: expect.closeTo(0.05, 4) },
    ]);
    expect(mean).toBeCloseTo(7, 4);
  });

  it('a line of the spectrum is not found a second time', () => {
    const { lines } = slowIn((x) => 7 + sine(4.8)(x), [{ frequency: 2.4, amplitude: 1 }]);
    expect(lines).toEqual([]);
  });

  it('of a record in several segments nothing is said', () => {
    const samples = new Float64Array(60).map((_, k) => 1 + sine(3)(k / 60));
    const spectrum = powerSpectrum({ samples, rate: 2 }, 10);
    expect(spectrum.segments).toBe(3);
    const { lines, mean, end, at } = slowSines(samples, spectrum, none, []);
    expect(lines).toEqual([]);
    expect(mean).toBeNaN();
    expect(end).toBeCloseTo(0.5, 12);
    expect(at(0.1)).toEqual({ amplitude: 0, standard: 0 });
  });
});

describe('a further slow sine', () => {
  it.each([
    ['of half a period, beside a level', 0.5, 0],
    ['of one and a half, beside a slope', 1.5, 0.8],
    ['of two, beside a cubic', 2, 0.8],
    ['of two and a half', 2.5, 0.8],
    ['of four', 4, 0.8],
  ])('%s has the amplitude that it was given', (_, bins, slope) => {
    const bend = bins >= 2 ? 0.9 : 0;
    const { at } = slowIn(
      (x) => 3 + 0.2 * sine(bins)(x) + slope * x + bend * ((x - 0.5) ** 3 - (x - 0.5) ** 2),
    );
    // One that was found as a line is none further.
    const { amplitude } = at(bins / 2);
    expect(amplitude).toBeCloseTo(bins > 2 ? 0 : 0.2, 6);
  });

  it('has the standard deviation of a fit, more where a drift hides it', () => {
    const { at } = slowIn(() => 3, [], 0.05);
    const free = (2 * 0.05) / Math.sqrt(length);
    expect(at(2.4).standard / free).toBeGreaterThan(0.98);
    expect(at(2.4).standard / free).toBeLessThan(1.1);
    for (const [faster, slower] of [
      [2.4, 1],
      [1.49, 1],
      [0.95, 0.5],
      [0.45, 0.25],
    ] as const)
      expect(at(slower).standard).toBeGreaterThan(at(faster).standard);
    expect(at(1.5).amplitude).toBeLessThan(1e-9);
  });

  it('of two periods leaves out a fade’s bend, also where the spectrum takes a little less than the record', () => {
    for (const rate of [1000, 1030]) {
      const count = 2 * rate;
      const samples = Float64Array.from({ length: count }, (_, k) => 0.8 ** (k / count));
      const spectrum = powerSpectrum({ samples, rate });
      const { at } = slowSines(samples, spectrum, none, []);
      expect(at(1).amplitude).toBeLessThan(1e-5);
      expect(at(0.9).amplitude).toBeGreaterThan(1e-4);
    }
    expect(powerSpectrum({ samples: new Float64Array(2060), rate: 1030 }).length).toBe(2048);
  });

  it('within half a bin of a known line is that line', () => {
    const known = [{ frequency: 2.4, amplitude: 1 }];
    const { at } = slowIn((x) => 7 + sine(4.8)(x), known, 0.05);
    expect(at(2.2)).toEqual({ amplitude: 0, standard: 0 });
    expect(at(2.14).standard).toBeGreaterThan(0);
  });

  it('takes the noise of the spectrum’s low bins where it is more than the floor says', () => {
    // White noise by a sequence without lines; its level is that of the record.
    const noise = (x: number) => {
      const k = Math.round(x * length - 0.5);
      return 0.1 * Math.sqrt(2) * Math.sin(2.1 * k * k + 0.7 * k);
    };
    const { at } = slowIn((x) => 5 + noise(x));
    const free = (2 * 0.1) / Math.sqrt(length);
    expect(at(2.4).standard / free).toBeGreaterThan(0.6);
    expect(at(2.4).standard / free).toBeLessThan(1.5);
  });
});
