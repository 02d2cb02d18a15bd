import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ModulatorSetup } from '../../../../drivers/plant/firmware/firmware.ts';
import { DriveLine } from '../../../../drivers/plant/modulator/drive-line.ts';
import { addGateMean } from '../../../../drivers/plant/modulator/gate-mean.ts';
import { partOf } from '../../../../drivers/plant/sample-block.ts';
import { pulseDensityBitByBit, pulseWidthBitByBit, type Write } from './bit-by-bit.ts';

const square = {
  riseTime: 0,
  fallTime: 0,
  overshoot: 0,
  overshootTime: 0,
  shortestPulse: 0,
  deadTime: 0,
};
const unit = { on: 1, analogue: (drive: number) => drive };

/** Float32 keeps 24 bits; samples are sums of a few terms up to 1. */
const float32 = 2 ** -22;

interface Case {
  readonly bits: number;
  readonly clocksPerSample: number;
  readonly count: number;
  readonly phase: number;
  readonly start: number;
  readonly splits: readonly number[];
  readonly writes: readonly { readonly when: number; readonly drive: number }[];
}

/** Even over 0..1: fc.double is even over the bit patterns, which are nearly all next to 0. */
const part = fc.integer({ min: 0, max: 1e9 }).map((whole) => whole / 1e9);

const cases: fc.Arbitrary<Case> = fc.record({
  bits: fc.integer({ min: 8, max: 16 }),
  clocksPerSample: fc.oneof(
    fc.integer({ min: 1, max: 400 }),
    part.map((x) => 0.2 + 400 * x),
    part.map((x) => 0.2 + 5 * x),
  ),
  count: fc.integer({ min: 1, max: 60 }),
  phase: part.map((x) => 0.999 * x),
  start: part.map((x) => 20 * x),
  splits: fc.array(fc.integer({ min: 1, max: 59 }), { maxLength: 3 }),
  writes: fc.array(
    fc.record({
      when: part,
      drive: fc.oneof(
        part,
        part.map((x) => 0.003 * x),
        fc.constantFrom(0, 1),
      ),
    }),
    { minLength: 1, maxLength: 12 },
  ),
});

function played(setup: ModulatorSetup, phase: number, writes: readonly Write[]): DriveLine {
  const line = new DriveLine();
  line.setUp(0, setup, 1, phase);
  for (const { at, value } of writes) line.write(at, value);
  return line;
}

/** Samples taken in several records one after another, as captures and blocks do. */
function sampled(line: DriveLine, { splits, count }: Case, t0: number, dt: number): Float32Array {
  const out = new Float32Array(count);
  const cuts = [...new Set([0, ...splits.filter((cut) => cut < count), count])].sort(
    (a, b) => a - b,
  );
  for (let i = 0; i + 1 < cuts.length; i++) {
    const [from, to] = [cuts[i]!, cuts[i + 1]!];
    addGateMean(partOf({ samples: out, t0, dt }, from, to), line, square, unit);
  }
  return out;
}

function largestDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let largest = 0;
  for (let k = 0; k < a.length; k++) largest = Math.max(largest, Math.abs(a[k]! - b[k]!));
  return largest;
}

describe('The closed form of the modulators', () => {
  it('equals the accumulator clocked bit by bit, for any density, clock and rate, while the level changes', async () => {
    await fc.assert(
      fc.property(cases, (one) => {
        const clock = 1e6;
        const dt = one.clocksPerSample / clock;
        const t0 = one.start * dt;
        const end = t0 + one.count * dt;
        const full = 2 ** one.bits;
        const writes = one.writes
          .map(({ when, drive }) => ({ at: when * end, value: Math.round(drive * full) }))
          .sort((a, b) => a.at - b.at);
        const line = played({ kind: 'pulse-density', bits: one.bits, clock }, one.phase, writes);
        const slow = pulseDensityBitByBit({ bits: one.bits, clock, phase: one.phase }, writes, {
          t0,
          dt,
          count: one.count,
        });
        expect(largestDifference(sampled(line, one, t0, dt), slow)).toBeLessThan(float32);
      }),
      { numRuns: 1500, seed: 20261125 },
    );
  });

  it('equals the counter clocked step by step, for any compare value, phase and rate, while the level changes', async () => {
    await fc.assert(
      fc.property(cases, (one) => {
        const bits = 8;
        const frequency = 1000;
        const dt = one.clocksPerSample / 100 / frequency;
        const t0 = one.start * dt;
        const end = t0 + one.count * dt;
        const phase = Math.round(one.phase * 255) / 256;
        const writes = one.writes
          .map(({ when, drive }) => ({ at: when * end, value: Math.round(drive * 256) }))
          .sort((a, b) => a.at - b.at);
        const line = played({ kind: 'pwm', bits, frequency, phase }, 0, writes);
        const slow = pulseWidthBitByBit({ bits, frequency, phase }, writes, {
          t0,
          dt,
          count: one.count,
        });
        expect(largestDifference(sampled(line, one, t0, dt), slow)).toBeLessThan(float32);
      }),
      { numRuns: 1000, seed: 20261126 },
    );
  });

  it('stays exact in samples of so many clocks that 32 bits overflow', () => {
    const line = played({ kind: 'pulse-density', bits: 16, clock: 20e6 }, 0.3, [
      { at: 0, value: 4321 },
    ]);
    const out = new Float32Array(200);
    addGateMean({ samples: out, t0: 0, dt: 0.0123 }, line, square, unit);
    const ones = (clocks: number): number => Math.floor((19660 + clocks * 4321) / 65536);
    for (let k = 0; k < 200; k++) {
      const exact = (ones(Math.round((k + 1) * 246_000)) - ones(Math.round(k * 246_000))) / 246_000;
      expect(Math.abs(out[k]! - exact)).toBeLessThan(float32);
    }
  });

  it('gives k ones in 2^N clocks and repeats after 2^N / gcd(k, 2^N) clocks (light-metrics, computed)', () => {
    const line = played({ kind: 'pulse-density', bits: 8, clock: 1000 }, 0, [{ at: 0, value: 3 }]);
    const out = new Float32Array(512);
    addGateMean({ samples: out, t0: 0, dt: 1e-3 }, line, square, unit);
    const bit = Array.from(out, (value) => Math.round(value));
    expect(bit.slice(0, 256).reduce((sum, b) => sum + b, 0)).toBe(3);
    expect(bit.slice(256)).toEqual(bit.slice(0, 256));
    expect(bit.slice(128, 256)).not.toEqual(bit.slice(0, 128));
  });

  it('repeats 0001, 001 and 00101 for densities of 1/4, 1/3 and 2/5', () => {
    // Density 1/3 and 2/5 of 2^16, rounded: the pattern holds for the first hundreds of clocks.
    for (const [density, pattern] of [
      [16384, '0001'],
      [21845 + 1, '001'],
      [26214 + 1, '00101'],
    ] as const) {
      const line = played({ kind: 'pulse-density', bits: 16, clock: 1000 }, 0, [
        { at: 0, value: density },
      ]);
      const out = new Float32Array(60);
      addGateMean({ samples: out, t0: 0, dt: 1e-3 }, line, square, unit);
      const text = Array.from(out, (value) => String(Math.round(value))).join('');
      expect(text).toBe(pattern.repeat(60 / pattern.length));
    }
  });

  it('carries an analogue level over the part of a sample that it was set', () => {
    const line = played({ kind: 'analogue', bits: 10 }, 0, [{ at: 0.25, value: 512 }]);
    const out = new Float32Array(3);
    addGateMean({ samples: out, t0: 0, dt: 0.1 }, line, square, unit);
    expect(Array.from(out)).toEqual([0, 0, expect.closeTo(0.25, 6)]);
  });
});
