import { describe, expect, it } from 'vitest';
import { switchingCycles } from '../../../harness/measure/features/current/switching-cycles.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';

const rate = 2 ** 20;

/** Samples at the instants themselves. */
function record(samples: ArrayLike<number>, start = 0): Waveform {
  return { samples: Float64Array.from(samples), rate, start, unit: 'A', clipped: 0 };
}

function made(current: (k: number) => number, count: number, start = 0): Waveform {
  return record(
    Array.from({ length: count }, (_, k) => current(k)),
    start,
  );
}

/** From `low` up in `up` samples by `size`, and down again. */
const triangle = (up: number, down: number, size = 0.2, low = 0.5) => {
  return (k: number) => {
    const since = k - (up + down) * Math.floor(k / (up + down));
    return low + size * (since < up ? since / up : 1 - (since - up) / down);
  };
};
const ripple = triangle(12, 20);

function cyclesOf(waveform: Waveform) {
  const cycles = switchingCycles(waveform);
  if ('measured' in cycles) throw new Error(JSON.stringify(cycles));
  return cycles;
}

describe('cycles of a ripple', () => {
  it('are those of the flanks, exactly, though one flank has but two samples of its own', () => {
    const cycles = cyclesOf(made(triangle(3, 30), 330));
    expect(cycles).toMatchObject({
      ripple: expect.closeTo(0.2, 9),
      peak: expect.closeTo(0.7, 9),
      valley: expect.closeTo(0.5, 9),
      standardRipple: expect.closeTo(0, 9),
      standardOffTime: expect.closeTo(0, 9),
    });
    expect(cycles.offTime * rate).toBeCloseTo(30, 6);
    expect(cycles.onTime * rate).toBeCloseTo(3, 6);
    expect(cycles.frequency / (rate / 33)).toBeCloseTo(1, 9);
  });

  it('are too fast where a flank has but one, and it says what rate would do', () => {
    // Five samples from corner to corner, where there are three.
    const fast = { measured: false, reason: 'too-slow', found: rate, unit: 'Hz' };
    const why = {
      ...fast,
      note: 'flanks of the ripple',
      needed: expect.closeTo((rate * 5) / 3, 3),
    };
    expect(switchingCycles(made(triangle(2, 30), 640))).toEqual(why);
    expect(switchingCycles(made(triangle(30, 2), 640))).toEqual(why);
  });

  it('are not told from gaps of a few samples: then the current is not on all the time, whatever the rate', () => {
    // On for eight samples, half gone for two.
    const chopped = (k: number) => (k % 10 < 8 ? 0.7 : 0.35);
    expect(switchingCycles(made(chopped, 640))).toMatchObject({
      measured: false,
      reason: 'unresolved',
    });
  });

  it('are counted over a record that is on throughout, and within an on-time without its ends', () => {
    // 40 crossings have 39 turns, 38 flanks and 37 corners; 36 flanks between these have 35 corners, 18 of them peaks.
    expect(cyclesOf(made(ripple, 640)).cycles).toBe(17);
    // A tenth of an on-time is left out at its start and a twentieth at its end: 34 crossings.
    const within = (first: number, after: number) =>
      cyclesOf(
        made((k) => (k < first || k >= first + 640 ? 0 : ripple(k - first)), first + 640 + after),
      ).cycles;
    expect(within(0, 100)).toBe(14);
    expect(within(100, 0)).toBe(14);
    expect(within(100, 100)).toBe(14);
  });

  it('are those of the longest on-time, wherever it lies', () => {
    const on = (k: number) => (k >= 300 && k < 500) || (k >= 600 && k < 1200);
    const cycles = cyclesOf(made((k) => (on(k) ? ripple(k) : 0), 1300));
    expect(cycles.cycles).toBeGreaterThan(11);
    const first = (cycles.peaksAt[0] ?? 0) * rate - 0.5;
    expect(first).toBeGreaterThan(660);
    expect(first).toBeLessThan(760);
  });

  it('have their instants on the record’s own time', () => {
    const later = made((k) => (k < 320 ? 0 : ripple(k)), 1200, 2);
    const { peaksAt } = cyclesOf(later);
    // Peaks lie at 12, 44, 76 …, each in the middle of its sample.
    for (const at of peaksAt) expect((((at - 2) * rate - 12.5) / 32) % 1).toBeCloseTo(0, 5);
    expect((peaksAt[0] ?? 0) - 2).toBeGreaterThan(400 / rate);
    expect((peaksAt[0] ?? 0) - 2).toBeLessThan(480 / rate);
  });

  it('are not those of the current’s own way up and down', () => {
    // Up over the first tenth, above what counts as off.
    const slow = (k: number) => (k < 60 ? 0.12 + (0.38 * k) / 60 : ripple(k + 4));
    const cycles = cyclesOf(made((k) => (k < 100 || k >= 740 ? 0 : slow(k - 100)), 840));
    expect(cycles.ripple).toBeCloseTo(0.2, 6);
    expect(cycles.valley).toBeCloseTo(0.5, 6);
  });

  it('are on above 15 % of the highest current, in any size', () => {
    const leaking = (k: number) => (k >= 100 && k < 740 ? 20 * ripple(k - 100) : 1.5);
    expect(cyclesOf(made(leaking, 840)).ripple).toBeCloseTo(4, 6);
  });

  it('are not cut by a dent of less than 15 % of the ripple', () => {
    // Behind the pass of the middle on the way up, back below it by 0.022.
    const dent = (k: number) => ripple(k) - (k === 32 * 5 + 7 ? 0.03 : 0);
    const cycles = cyclesOf(made(dent, 640));
    expect(cycles.cycles).toBe(17);
    expect(cycles.ripple).toBeCloseTo(0.2, 2);
  });

  it('are three at least, as a mean has no scatter of one; it says how many there are', () => {
    // 13 passes of the middle have eight corners: peak, valley … of three cycles.
    expect(cyclesOf(made(ripple, 203)).cycles).toBe(3);
    const short = { measured: false, reason: 'too-short', needed: 3, unit: '1' };
    const note = 'switching cycles within one on-time';
    expect(switchingCycles(made(ripple, 200))).toEqual({ ...short, note, found: 2 });
    expect(switchingCycles(made(ripple, 100))).toEqual({ ...short, note, found: 0 });
    const step = made((k) => (k < 20 ? 0.5 : 0.7), 40);
    expect(switchingCycles(step)).toEqual({ ...short, note, found: 0 });
  });

  it('are none of less than a ten thousandth of the current', () => {
    const none = {
      measured: false,
      reason: 'no-periodicity',
      note: 'no ripple above the noise while the current is on',
    };
    expect(switchingCycles(made(triangle(12, 20, 0.096, 1000), 640))).toEqual(none);
    expect(cyclesOf(made(triangle(12, 20, 0.104, 1000), 640)).ripple).toBeCloseTo(0.104, 6);
    expect(switchingCycles(made(() => 0, 640))).toEqual({
      measured: false,
      reason: 'dark',
      note: 'no current in the window',
    });
  });

  it('scatter as they do: standard deviations of the means (JCGM 100)', () => {
    // Every other tip is higher by 0.02, on flanks of the same length.
    const tips = (k: number) =>
      ripple(k) * 1 + (Math.floor(k / 32) % 2 ? 0.1 * (ripple(k) - 0.5) : 0);
    const cycles = cyclesOf(made(tips, 640));
    expect(cycles.ripple).toBeCloseTo(0.21, 2);
    // 34 rises and falls between 35 corners, half of them 0.2 and half 0.22, each 0.01 off their mean.
    expect(cycles.standardRipple).toBeCloseTo(0.01 / Math.sqrt(33), 6);
    expect(cycles.standardFrequency).toBeCloseTo(0, 3);
    expect(cycles.peaksAt).toHaveLength(18);
    expect(cyclesOf(made(ripple, 960)).peaksAt).toHaveLength(20);
  });
});
