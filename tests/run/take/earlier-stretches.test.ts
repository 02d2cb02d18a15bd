import { describe, expect, it } from 'vitest';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { EarlierStretches } from '../../../harness/run/take/earlier-stretches.ts';

/** Noise of two steps. */
const noise = (seed: number, length = 20_000): Int16Array =>
  Int16Array.from(deviates(length, seed, 0), (one) => Math.round(2 * one));

const unlikely = 60;

function joined(...parts: readonly Int16Array[]): Int16Array {
  const whole = new Int16Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

describe('stretches of earlier records', () => {
  it('are found at another place, in part, and with a constant added', () => {
    const old = noise(1);
    for (const [from, shift, add] of [
      [0, 0, 0],
      [3000, 4, 0],
      [12_345, 1, 7],
    ] as const) {
      const earlier = new EarlierStretches();
      expect(earlier.find(old, unlikely)).toBeNull();
      const again = old.slice(from + shift, from + shift + 2000).map((code) => code + add);
      const place = earlier.find(joined(noise(2, 5000), again, noise(3, 5000)), unlikely);
      // A block of 64 begins within 64 samples of the stretch.
      expect(place).toBeGreaterThanOrEqual(5000);
      expect(place).toBeLessThan(5064);
    }
  });

  it('are none in 60 records of new noise, also on the same light', () => {
    const earlier = new EarlierStretches();
    const light = (k: number): number => Math.round(500 * Math.sin(k / 30));
    for (let seed = 10; seed < 70; seed++) {
      const codes = noise(seed).map((code, k) => code + light(k));
      expect(earlier.find(codes, unlikely)).toBeNull();
    }
  });

  it('are forgotten after 24 records, and never looked for in records shorter than a block', () => {
    const earlier = new EarlierStretches();
    const old = noise(1);
    earlier.find(old, unlikely);
    expect(earlier.find(old.slice(0, 64), unlikely)).toBeNull();
    for (let seed = 2; seed < 26; seed++) earlier.find(noise(seed, 1000), unlikely);
    expect(earlier.find(old, unlikely)).toBeNull();
    expect(earlier.find(old, unlikely)).not.toBeNull();
  });
});
