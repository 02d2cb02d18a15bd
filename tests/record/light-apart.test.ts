import { describe, expect, it } from 'vitest';
import { lightApart } from '../../harness/record/light-apart.ts';

const rate = 10_000;
const clock = { interval: 1 / rate, start: 2 };

/** A second of light that fades from 1 to 0.1, with noise of its own. */
function fade(noise: (k: number) => number, lengthening = 1): Float64Array {
  return Float64Array.from({ length: rate }, (_, k) => 10 ** (-k / rate / lengthening) + noise(k));
}

/** Gaussian enough: the sum of twelve uniform figures of a generator with a fixed start. */
function noiseOf(seed: number, size: number): () => number {
  let state = seed;
  const next = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  return () => size * (Array.from({ length: 12 }, next).reduce((a, b) => a + b) - 6);
}

describe('two records of one signal', () => {
  it('are the same where they are, and where only their noise differs', () => {
    const quiet = fade(() => 0);
    expect(lightApart({ a: quiet, b: quiet.slice(), ...clock })).toBeNull();
    const [a, b] = [fade(noiseOf(1, 0.01)), fade(noiseOf(2, 0.01))];
    expect(lightApart({ a, b, ...clock })).toBeNull();
  });

  it('are apart where a fade is half a per cent longer, most where it is steepest against its length', () => {
    const [a, b] = [fade(noiseOf(1, 1e-4)), fade(noiseOf(2, 1e-4), 1.005)];
    const apart = lightApart({ a, b, ...clock });
    // d/dT of 10^(-t/T) is largest at t = T / ln 10.
    expect(Math.abs((apart?.at ?? 0) - (2 + 1 / Math.LN10))).toBeLessThan(0.15);
    expect((apart?.b ?? 0) - (apart?.a ?? 0)).toBeCloseTo(0.005 / Math.E, 3);
    expect(apart?.highest).toBeCloseTo(1, 2);
    expect(apart?.lasting).toBeGreaterThan(0.8);
  });

  it('are apart where one goes out for two milliseconds', () => {
    const a = fade(noiseOf(1, 0.01));
    const b = fade(noiseOf(2, 0.01));
    b.fill(0, 3000, 3020);
    const apart = lightApart({ a, b, ...clock });
    expect(apart).toMatchObject({ b: 0, lasting: expect.closeTo(0.002, 6) });
    expect(apart?.at).toBeCloseTo(2.3, 2);
  });

  it('are held against each other as far as both go', () => {
    const a = fade(() => 0);
    expect(lightApart({ a, b: a.slice(0, 5000), ...clock })).toBeNull();
    expect(lightApart({ a, b: new Float64Array(0), ...clock })).toBeNull();
  });
});
