import { describe, expect, test } from 'vitest';
import {
  flickerBand,
  lightWeighting,
  voltageWeighting,
} from '../../../harness/measure/features/flicker/flickermeter-blocks.ts';
import {
  bilinear,
  butterworth,
  highPass,
  lowPass,
} from '../../../harness/measure/signal/bilinear.ts';
import { decimate } from '../../../harness/measure/signal/decimate.ts';
import { filter, magnitude } from '../../../harness/measure/signal/sections.ts';
import { sampled } from '../light-of.ts';

/** |N(jω)/D(jω)| of polynomials in s, highest power first. */
function analogue(above: readonly number[], below: readonly number[], frequency: number): number {
  const w = 2 * Math.PI * frequency;
  const size = (coefficients: readonly number[]): number => {
    let re = 0;
    let im = 0;
    for (const coefficient of coefficients) [re, im] = [-im * w + coefficient, re * w];
    return Math.hypot(re, im);
  };
  return size(above) / size(below);
}

const rates = [2000, 2500, 3999];

describe('weighting filters against H(jω)', () => {
  // IEC TR 61547-1 eq. A.5 as recalled (from memory); the numbers below are computed from it.
  const above = [0.041661, 44.758, 2715.6, 29839, 0];
  const below = [1, 196.32, 11781, 534820, 3505380];

  test('the light weighting follows its printed polynomial from 0.3 Hz to 90 Hz', () => {
    for (const rate of rates) {
      for (let f = 0.3; f <= 40; f *= 1.1) {
        const expected = analogue(above, below, f);
        expect(Math.abs(magnitude(lightWeighting(rate), f, rate) / expected - 1)).toBeLessThan(
          1.5e-3,
        );
      }
      const expected = analogue(above, below, 90);
      expect(Math.abs(magnitude(lightWeighting(rate), 90, rate) / expected - 1)).toBeLessThan(0.02);
    }
  });

  test('|H| of the light weighting', () => {
    for (const [f, expected] of [
      [1, 0.04589],
      [2, 0.0786],
      [5, 0.2079],
      [8.8, 0.4214],
      [10, 0.43642],
      [15, 0.34831],
      [20, 0.2766],
      [25, 0.23198],
    ] as const) {
      expect(analogue(above, below, f)).toBeCloseTo(expected, 4);
      expect(magnitude(lightWeighting(2000), f, 2000)).toBeCloseTo(expected, 3);
    }
  });

  test('|F| of the voltage weighting at 8.8 Hz (computed from the confirmed coefficients)', () => {
    for (const rate of rates) {
      expect(magnitude(voltageWeighting('230V', rate), 8.8, rate)).toBeCloseTo(1.001714, 6);
      expect(magnitude(voltageWeighting('120V', rate), 8.8, rate)).toBeCloseTo(0.782615, 6);
      const chain = [...voltageWeighting('230V', rate), ...flickerBand('230V', rate)];
      expect(magnitude(chain, 8.8, rate)).toBeCloseTo(1.001698, 5);
    }
  });
});

describe('standard filters', () => {
  test('are 3 dB down at their corners and fall as their order says', () => {
    const half = Math.SQRT1_2;
    expect(magnitude([highPass(0.05, 2000)], 0.05, 2000)).toBeCloseTo(half, 9);
    expect(magnitude([lowPass(0.53, 2000)], 0.53, 2000)).toBeCloseTo(half, 9);
    expect(magnitude(butterworth(6, 35, 2000), 35, 2000)).toBeCloseTo(half, 9);
    for (const f of [10, 30, 50, 70]) {
      const expected = 1 / Math.sqrt(1 + (f / 35) ** 12);
      expect(magnitude(butterworth(6, 35, 20e3), f, 20e3) / expected).toBeCloseTo(1, 3);
    }
  });

  test('what is filtered has the amplitude that the response says', () => {
    const rate = 2000;
    const sections = [...flickerBand('230V', rate), ...lightWeighting(rate)];
    const sine = Float64Array.from({ length: 60_000 }, (_, k) =>
      Math.sin((2 * Math.PI * 8.8 * k) / rate),
    );
    const settled = filter(sections, sine).subarray(40_000);
    let largest = 0;
    for (const value of settled) largest = Math.max(largest, value);
    expect(largest).toBeCloseTo(magnitude(sections, 8.8, rate), 4);
  });

  test('a section of constants only multiplies', () => {
    const section = bilinear([3, 0, 0], [1, 0, 0], 1000);
    expect(magnitude([section], 123, 1000)).toBeCloseTo(3, 12);
  });
});

describe('decimation', () => {
  test('keeps the band within 1e-4 and in time, and folds nothing into it within 90 dB', () => {
    for (const [rate, factor] of [
      [20e3, 10],
      [7.3e3, 3],
      [200e3, 100],
    ] as const) {
      for (const frequency of [0.5, 8.8, 60, 100]) {
        const tone = (t: number) => Math.cos(2 * Math.PI * frequency * t);
        const slow = decimate(sampled(tone, rate, 1), factor, 100);
        const reach = Math.ceil(slow.length / 10);
        let worst = 0;
        for (let k = reach; k < slow.length - reach; k++) {
          // The first sample stands half a sample after the start.
          const expected = tone((k * factor + 0.5) / rate);
          worst = Math.max(worst, Math.abs(slow[k]! - expected));
        }
        expect(worst, `${frequency} Hz at ${rate} S/s`).toBeLessThan(1.5e-4);
      }
      for (const offset of [-90, -20, 0, 55, 90]) {
        const alias = rate / factor + offset;
        const slow = decimate(
          sampled((t) => Math.cos(2 * Math.PI * alias * t), rate, 1),
          factor,
          100,
        );
        let largest = 0;
        const reach = Math.ceil(slow.length / 10);
        for (const value of slow.subarray(reach, -reach)) {
          largest = Math.max(largest, Math.abs(value));
        }
        expect(20 * Math.log10(largest)).toBeLessThan(-88);
      }
    }
  });

  test('leaves a constant as it is, up to both ends, and a factor of 1 the record', () => {
    const waveform = sampled(() => 0.7, 20e3, 0.1);
    for (const value of decimate(waveform, 10, 100)) expect(value).toBeCloseTo(0.7, 12);
    expect(decimate(waveform, 1, 100)).toEqual(waveform.samples);
  });
});
