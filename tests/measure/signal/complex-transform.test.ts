import { describe, expect, it } from 'vitest';
import { complexFft, smoothLength } from '../../../harness/measure/signal/complex-fft.ts';
import { realFft } from '../../../harness/measure/signal/real-fft.ts';

/** Numbers between -1 and 1 without a pattern that a transform could share. */
const uneven = (length: number, turn: number) =>
  Float64Array.from({ length }, (_, k) => Math.sin(turn * (k + 1) ** 2));

/** Largest distance of a transform from Σ x exp(-2πi kn/N), over all bins. */
function offDefinition(length: number): number {
  const [re, im] = [uneven(length, 0.7), uneven(length, 1.3)];
  const [a, b] = [re.slice(), im.slice()];
  complexFft(length).forward(a, b);
  let worst = 0;
  for (let k = 0; k < length; k++) {
    let [x, y] = [0, 0];
    for (let n = 0; n < length; n++) {
      const angle = (-2 * Math.PI * ((k * n) % length)) / length;
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      x += (re[n] ?? 0) * c - (im[n] ?? 0) * s;
      y += (re[n] ?? 0) * s + (im[n] ?? 0) * c;
    }
    worst = Math.max(worst, Math.hypot((a[k] ?? 0) - x, (b[k] ?? 0) - y));
  }
  return worst;
}

describe('complex transform', () => {
  it.each([
    ['one', [1]],
    ['powers of two', [2, 4, 8, 32]],
    ['powers of three', [3, 9, 27]],
    ['powers of five', [5, 25]],
    ['all three together', [6, 10, 12, 15, 30, 60, 90]],
    ['primes and their multiples, by the chirp', [7, 11, 14, 17, 33, 49]],
  ])('is the definition at lengths that are %s', (_, lengths) => {
    for (const length of lengths) expect(offDefinition(length), `${length}`).toBeLessThan(1e-12);
  });

  it.each([1, 2, 3, 4, 5, 8, 36, 100])(
    'of a pulse at 0 is 1 in each of %s bins, to the last bit',
    (length) => {
      const [re, im] = [new Float64Array(length), new Float64Array(length)];
      re[0] = 1;
      complexFft(length).forward(re, im);
      expect([...re]).toEqual(Array(length).fill(1));
      expect(im.every((each) => each === 0)).toBe(true);
    },
  );

  it('keeps its digits at a long prime length: a tone is one bin', () => {
    const length = 2003;
    const turn = (k: number) => (2 * Math.PI * ((701 * k) % length)) / length;
    const re = Float64Array.from({ length }, (_, k) => Math.cos(turn(k)));
    const im = Float64Array.from({ length }, (_, k) => Math.sin(turn(k)));
    complexFft(length).forward(re, im);
    expect(re[701]).toBeCloseTo(length, 8);
    for (const k of [0, 1, 700, 702, 1302, length - 1])
      expect(Math.hypot(re[k] ?? 1, im[k] ?? 1)).toBeLessThan(1e-9);
  });

  it('gives the same again from the same plan', () => {
    for (const length of [12, 13]) {
      const fft = complexFft(length);
      const [first, second] = [1, 2].map(() => {
        const [re, im] = [uneven(length, 0.7), uneven(length, 1.3)];
        fft.forward(re, im);
        return [...re, ...im];
      });
      expect(second).toEqual(first);
      expect(fft.length).toBe(length);
    }
  });

  it.each([0, -4, 2.5, Number.NaN])('refuses the length %s, and says so', (length) => {
    expect(() => complexFft(length)).toThrow(
      `A transform needs a whole length of at least 1, not ${length}.`,
    );
  });
});

it.each([
  [1, 1, 1],
  [7, 1, 6],
  [11, 1, 10],
  [13, 1, 12],
  [23, 1, 20],
  [64, 1, 64],
  [65, 2, 64],
  [50, 4, 48],
  [6.9, 2, 6],
  [3, 4, 0],
  [-5, 2, 0],
])('the largest smooth length up to %s in steps of %s is %s', (limit, multiple, expected) => {
  expect(smoothLength(limit, multiple)).toBe(expected);
});

describe('real transform', () => {
  it.each([1, 2, 3, 4, 6, 7, 9, 10, 16, 22])(
    'has the bins of a complex one at length %s',
    (length) => {
      const samples = uneven(length, 0.9);
      const fft = realFft(length);
      const [re, im] = [samples.slice(), new Float64Array(length)];
      complexFft(length).forward(re, im);
      expect(fft.length).toBe(length);
      expect(fft.bins).toBe(Math.floor(length / 2) + 1);
      // Twice: what is left of the first must not reach the second.
      for (let run = 0; run < 2; run++) {
        const found = fft.forward(samples);
        expect(found.re.length).toBe(fft.bins);
        expect(found.im.length).toBe(fft.bins);
        for (let k = 0; k < fft.bins; k++) {
          expect(found.re[k]).toBeCloseTo(re[k] ?? 9, 12);
          expect(found.im[k]).toBeCloseTo(im[k] ?? 9, 12);
        }
        if (length % 2 === 0) expect([found.im[0], found.im[length / 2]]).toEqual([0, 0]);
      }
      expect(samples).toEqual(uneven(length, 0.9));
    },
  );
});
