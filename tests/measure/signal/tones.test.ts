import { describe, expect, it } from 'vitest';
import { lowPass } from '../../../harness/measure/signal/low-pass.ts';
import { addTone, toneNear } from '../../../harness/measure/signal/tone.ts';

const wave = (
  length: number,
  frequency: number,
  amplitude: number,
  phase: number,
  from = 0,
  apart = 1,
) =>
  Float64Array.from(
    { length },
    (_, k) => amplitude * Math.cos(2 * Math.PI * frequency * (from + apart * k) + phase),
  );

describe('a tone', () => {
  it.each([
    [1000, 0.0731, 0.7, 1.1, 0.0728],
    [1000, 0.0731, 0.7, -2.9, 0.0734],
    [1001, 0.21, 12, 0, 0.2102],
    [640, 0.4, 0.01, 3, 0.4],
  ])(
    'of %s samples at %s cycles a sample is told to the last digits',
    (length, frequency, amplitude, phase, near) => {
      const samples = wave(length, frequency, amplitude, phase).map((value) => value + 5);
      const found = toneNear(samples, near);
      expect(found.frequency).toBeCloseTo(frequency, 6);
      expect(found.amplitude / amplitude).toBeCloseTo(1, 3);
      expect(found.phase).toBeCloseTo(phase, 2);
      const alone = toneNear(wave(length, frequency, amplitude, phase), near);
      expect(alone.frequency).toBeCloseTo(frequency, 9);
      expect(alone.amplitude / amplitude).toBeCloseTo(1, 6);
      expect(alone.phase).toBeCloseTo(phase, 5);
    },
  );

  it('is told beside another that is far enough off', () => {
    const both = wave(1000, 0.0731, 0.7, 1.1);
    addTone(both, { frequency: 0.11, amplitude: 2, phase: 0.3 }, 1);
    expect(toneNear(both, 0.073).frequency).toBeCloseTo(0.0731, 5);
    expect(toneNear(both, 0.073).amplitude).toBeCloseTo(0.7, 3);
  });

  it('is added times a factor, at the places that are asked for', () => {
    const tone = { frequency: 0.0731, amplitude: 0.7, phase: 1.1 };
    for (const [by, place] of [
      [1, undefined],
      [-1, undefined],
      [0.5, { first: -3.5, apart: 0.25 }],
    ] as const) {
      const samples = new Float64Array(200).fill(2);
      addTone(samples, tone, by, ...(place ? [place] : []));
      const expected = wave(200, 0.0731, by * 0.7, 1.1, place?.first ?? 0, place?.apart ?? 1);
      for (const [k, value] of samples.entries())
        expect(value).toBeCloseTo(2 + (expected[k] ?? 9), 10);
    }
  });
});

/** Largest distance of a low-passed record from `expected` at the instants that its values stand for, ends left out. */
function off(
  light: (k: number) => number,
  cutOff: number,
  expected: (k: number) => number,
  length = 1000,
  margin = 0.2,
): number {
  const { values, apart, first } = lowPass(Float64Array.from({ length }, (_, k) => light(k)))(
    cutOff,
  );
  let worst = 0;
  values.forEach((value, k) => {
    const at = first + k * apart;
    if (at >= margin * length && at <= (1 - margin) * length)
      worst = Math.max(worst, Math.abs(value - expected(at)));
  });
  return worst;
}

const cosine = (frequency: number) => (k: number) => Math.cos(2 * Math.PI * frequency * k);

describe('a record with what is fast taken out', () => {
  it('covers the record, at 32 places or more to each period of the cut-off', () => {
    for (const [length, cutOff] of [
      [1000, 0.05],
      [1001, 0.013],
      [999, 0.2],
      [640, 0.4],
    ] as const) {
      const { values, apart, first } = lowPass(new Float64Array(length))(cutOff);
      expect(apart).toBeLessThanOrEqual(1 / (32 * cutOff));
      expect(apart).toBeGreaterThan(1 / (2 * 32 * cutOff));
      expect(first).toBeGreaterThanOrEqual(0);
      expect(first).toBeLessThan(apart);
      const last = first + (values.length - 1) * apart;
      expect(last).toBeLessThanOrEqual(length - 1);
      expect(last).toBeGreaterThan(length - 1 - apart);
    }
  });

  it('goes on to both ends of a constant and of a slope', () => {
    expect(
      off(
        () => 3,
        0.05,
        () => 3,
        1000,
        0,
      ),
    ).toBeLessThan(1e-9);
    const slope = (k: number) => 2 + 0.003 * k;
    expect(off(slope, 0.05, slope, 1000, 0)).toBeLessThan(2e-3);
    expect(off(slope, 0.05, slope)).toBeLessThan(2e-4);
    expect(off(slope, 0.05, slope, 777)).toBeLessThan(2e-4);
  });

  it('keeps what is slower than the cut-off by half of the fall', () => {
    for (const frequency of [0.005, 0.02, 0.04, 0.044])
      expect(off(cosine(frequency), 0.05, cosine(frequency))).toBeLessThan(0.01);
  });

  it('has nothing of what is faster by as much', () => {
    for (const frequency of [0.056, 0.06, 0.1, 0.3])
      expect(
        off(
          (k) => 1 + cosine(frequency)(k),
          0.05,
          () => 1,
        ),
      ).toBeLessThan(0.01);
  });

  it('falls as a sine between: half at the cut-off', () => {
    for (const [above, part] of [
      [0, 0.5],
      [-0.25, 0.5 + 0.5 * Math.SQRT1_2],
      [0.25, 0.5 - 0.5 * Math.SQRT1_2],
    ] as const) {
      // The fall is ten bins of the record wide.
      const tone = cosine(0.05 + (above * 10) / 1000);
      expect(off(tone, 0.05, (k) => part * tone(k))).toBeLessThan(0.02);
    }
  });

  it('begins and ends where a noisy slope begins and ends', () => {
    const light = (k: number) => 5 - 0.002 * k + (k % 2 ? 0.1 : -0.1);
    expect(off(light, 0.02, (k) => 5 - 0.002 * k, 1000, 0)).toBeLessThan(5e-3);
  });

  it('of a short record is one too', () => {
    expect(
      off(
        (k) => 1 + 0.1 * k,
        0.1,
        (k) => 1 + 0.1 * k,
        60,
        0,
      ),
    ).toBeLessThan(0.1);
  });
});
