import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { normalWithin } from '../../../harness/measure/signal/normal-within.ts';
import { mustBeSound } from '../../../harness/run/take/sound-codes.ts';

/** 16 bits over ±1 A. */
const step = 2 / 2 ** 16;
const wire = {
  signal: 'channel-current',
  of: 'warm',
  instrument: 'scope',
  input: '1',
  unit: 'A',
  scale: 1,
  offset: 0,
  standardScale: 0,
  standardOffset: 0,
  noise: step / 2,
  bandwidth: 100e3,
  bits: 16,
  fullScale: 1,
} satisfies Wire;

/** Codes of light (in A) with noise of `sigma` steps. */
function record(light: (k: number) => number, sigma = 0.5, length = 20_000): RawCapture {
  const noise = deviates(length, 7, 0);
  const codes = Int16Array.from({ length }, (_, k) =>
    Math.round(light(k) / step + sigma * noise[k]!),
  );
  return {
    input: '1',
    codes,
    scale: step,
    offset: 0,
    unit: 'A',
    lowest: -32768,
    highest: 32767,
    rate: 20e3,
    start: 0,
  };
}

/** The record with the codes from `from` on made of the ones before. */
function spoilt(raw: RawCapture, from: number, code: (codes: Int16Array, k: number) => number) {
  const codes = Int16Array.from(raw.codes);
  for (let k = from; k < codes.length; k++) codes[k] = code(codes, k);
  return { ...raw, codes };
}

const reasonOf = (raw: RawCapture, on: Wire = wire): string => {
  try {
    mustBeSound(raw, on);
    return 'sound';
  } catch (error) {
    return `${(error as { kind: string }).kind}: ${(error as Error).message}`;
  }
};

const steady = (level: number) => () => level;
const pulsed = (k: number) => (k % 50 < 20 ? 0.7 : 0);

describe('a sound record', () => {
  it.each([
    ['of steady current', steady(0.5)],
    ['of none', steady(0)],
    ['of pulses', pulsed],
    ['of a fade', (k: number) => 0.5 * 10 ** (-k / 10_000)],
  ])('%s is believed', (_, light) => {
    expect(reasonOf(record(light))).toBe('sound');
  });

  it.each([0.16, 0.2, 0.3, 1, 20])('with noise of %d steps, in the middle of a step', (sigma) => {
    const own = { ...wire, noise: sigma * step };
    for (const level of [0, 1000 * step])
      expect(reasonOf(record(steady(level), sigma), own)).toBe('sound');
  });

  it('without stated noise may stand still, and so may a pin', () => {
    expect(reasonOf(record(steady(0.5), 0), { ...wire, noise: 0 })).toBe('sound');
    expect(reasonOf(record(steady(0.5), 0), { ...wire, signal: 'sync' })).toBe('sound');
  });

  it('of few bits may say so', () => {
    const coarse = spoilt(record(pulsed, 2000), 0, (codes, k) => 256 * Math.round(codes[k]! / 256));
    expect(reasonOf(coarse, { ...wire, noise: 0, bits: 8 })).toBe('sound');
  });

  it('of a slow sensor may stand longer', () => {
    // 20 samples move together at 500 Hz: eight samples of noise in a row are one.
    const slow = record(steady(0), 0);
    const noise = record(steady(0)).codes;
    const codes = Int16Array.from(slow.codes, (_, k) => noise[Math.floor(k / 8)]!);
    expect(reasonOf({ ...slow, codes })).toMatch(/^garbled/);
    expect(reasonOf({ ...slow, codes }, { ...wire, bandwidth: 500 })).toBe('sound');
  });
});

describe('a record that no input can have seen', () => {
  it('stands still where noise is stated', () => {
    const stuck = spoilt(record(steady(0.5)), 12_000, (codes) => codes[11_999]!);
    expect(reasonOf(stuck)).toMatch(
      /^garbled: the record of input 1 stands at one value, 0\.5\S* A, for 800\d samples from 0\.\d+ s; expected the noise of \S+ A that the rig file states, 0\.5 steps/,
    );
  });

  it('goes round in a ring', () => {
    const ring = spoilt(record(pulsed), 12_000, (codes, k) => codes[k - 200]!);
    expect(reasonOf(ring)).toMatch(
      /^stale: .* the same \d+ samples at 0\.\d+ s and 0\.\d+ s, noise and all/,
    );
  });

  it('repeats its beginning at its end', () => {
    const twice = spoilt(record(pulsed), 15_000, (codes, k) => codes[k - 15_000]!);
    expect(reasonOf(twice)).toMatch(/^stale: .* the same 5000 samples at 0\.0000 s and 0\.7500 s/);
  });

  it('moves in steps that are too coarse', () => {
    const coarse = spoilt(
      record((k) => k / 20_000),
      0,
      (codes, k) => 1024 * Math.floor(codes[k]! / 1024),
    );
    expect(reasonOf(coarse, { ...wire, noise: 0 })).toMatch(
      /^garbled: .* moves in steps of 1024 codes, as with 6 bits; expected the 16 bits/,
    );
  });

  it('lies beyond the full scale', () => {
    expect(reasonOf({ ...record(steady(0.7)), scale: step * 1000 })).toMatch(
      /^overload: .* reads 700\.?\d* A; expected no more than the full scale of its wire, 1 A/,
    );
  });
});

// Handbook values of 2 Φ(x) - 1 (Abramowitz and Stegun, table 26.1).
it.each([
  [0.5, 0.3829249],
  [1, 0.6826895],
  [2.5, 0.9875807],
  [4, 0.9999367],
])('a normal deviate lies within ± %d with %d', (sides, share) => {
  expect(normalWithin(sides)).toBeCloseTo(share, 6);
});
