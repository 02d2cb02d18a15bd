import FFT from 'fft.js';
import { describe, expect, test } from 'vitest';
import { complexFft, smoothLength } from '../../../harness/measure/signal/complex-fft.ts';
import { realFft } from '../../../harness/measure/signal/real-fft.ts';
import { sampled } from '../../sampled.ts';

function noise(length: number, seed = 7): Float64Array {
  let state = seed;
  // A linear congruential generator: plenty for a test of arithmetic.
  return new Float64Array(length).map(() => {
    state = (1664525 * state + 1013904223) % 4294967296;
    return state / 2147483648 - 1;
  });
}

/** Bin k by the definition, with exact angles. */
function bin(samples: Float64Array, k: number): readonly [number, number] {
  let re = 0;
  let im = 0;
  for (let n = 0; n < samples.length; n++) {
    const angle = (-2 * Math.PI * ((k * n) % samples.length)) / samples.length;
    re += samples[n]! * Math.cos(angle);
    im += samples[n]! * Math.sin(angle);
  }
  return [re, im];
}

describe('transform of a real record', () => {
  test('agrees with the definition at every length up to 130', () => {
    for (let length = 1; length <= 130; length++) {
      const samples = noise(length);
      const { re, im } = realFft(length).forward(samples);
      let worst = 0;
      expect(re.length).toBe(Math.floor(length / 2) + 1);
      for (let k = 0; k < re.length; k++) {
        const [expectedRe, expectedIm] = bin(samples, k);
        worst = Math.max(worst, Math.hypot(re[k]! - expectedRe, im[k]! - expectedIm));
      }
      expect(worst, `length ${length}`).toBeLessThan(1e-11);
    }
  });

  test('agrees with an independent library at powers of two', () => {
    for (const length of [1024, 65536, 262144]) {
      const samples = noise(length);
      const library = new FFT(length);
      const expected = library.createComplexArray();
      library.realTransform(expected, Array.from(samples));
      const { re, im } = realFft(length).forward(samples);
      let error = 0;
      let power = 0;
      for (let k = 0; k < re.length; k++) {
        error += (re[k]! - expected[2 * k]!) ** 2 + (im[k]! - expected[2 * k + 1]!) ** 2;
        power += re[k]! ** 2 + im[k]! ** 2;
      }
      expect(Math.sqrt(error / power)).toBeLessThan(1e-15);
    }
  });

  test('keeps the power (Parseval) at lengths with small, large and prime factors', () => {
    for (const length of [1000, 1009, 99991, 200000, ...sampled([3600000, 1000003], 1)]) {
      const samples = noise(length);
      const { re, im } = realFft(length).forward(samples);
      let inTime = 0;
      for (const value of samples) inTime += value * value;
      let inBins = 0;
      for (let k = 0; k < re.length; k++) {
        const twice = k === 0 || 2 * k === length ? 1 : 2;
        inBins += twice * (re[k]! ** 2 + im[k]! ** 2);
      }
      expect(Math.abs(inBins / length / inTime - 1), `length ${length}`).toBeLessThan(1e-12);
    }
  });

  test('a shifted pulse turns the phase and nothing else', () => {
    const length = 3000;
    const samples = new Float64Array(length);
    samples[17] = 1;
    const { re, im } = realFft(length).forward(samples);
    for (const k of [0, 1, 700, 1499, 1500]) {
      expect(re[k]).toBeCloseTo(Math.cos((2 * Math.PI * 17 * k) / length), 12);
      expect(im[k]).toBeCloseTo(-Math.sin((2 * Math.PI * 17 * k) / length), 12);
    }
  });
});

test('a complex transform run forwards and, conjugated, back again returns the sequence', () => {
  for (const length of [1, 7, 360, 1013]) {
    const re = noise(length, 1);
    const im = noise(length, 2);
    const wasRe = re.slice();
    const wasIm = im.slice();
    const fft = complexFft(length);
    fft.forward(re, im);
    for (let k = 0; k < length; k++) im[k] = -im[k]!;
    fft.forward(re, im);
    let worst = 0;
    for (let k = 0; k < length; k++) {
      worst = Math.max(worst, Math.abs(re[k]! / length - wasRe[k]!));
      worst = Math.max(worst, Math.abs(-im[k]! / length - wasIm[k]!));
    }
    expect(worst).toBeLessThan(1e-13);
  }
});

test('a length that is no whole number of at least 1 is refused', () => {
  expect(() => complexFft(0)).toThrow(RangeError);
  expect(() => complexFft(2.5)).toThrow(RangeError);
});

test('smooth lengths have the factors 2, 3 and 5 only and keep the multiple', () => {
  expect(smoothLength(3_600_000, 2)).toBe(3_600_000);
  expect(smoothLength(3_599_999, 2)).toBe(3_542_940);
  expect(smoothLength(7, 2)).toBe(6);
  expect(smoothLength(1, 2)).toBe(0);
});
