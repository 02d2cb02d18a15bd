import { describe, expect, it } from 'vitest';
import { type Analysis, analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { bandLimited } from '../../../harness/measure/features/flicker/band-limited-light.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import type { SpectralLine } from '../../../harness/measure/signal/spectral-lines.ts';
import { sampled } from '../light-of.ts';

const [rate, seconds, mean] = [2000, 0.5, 50];
/** Hz; of half a second. */
const bin = 2;
const cutOff = 200;

type Tone = readonly [depth: number, frequency: number, phase?: number];

/** Half a second of light of 50 lx with tones of a depth and a frequency, and what is made known of its analysis. */
function lit(tones: readonly Tone[], known: Partial<Analysis> = {}, drift = 0) {
  const waveform = sampled(
    (t) =>
      mean *
      tones.reduce(
        (sum, [depth, f, phase = 0]) => sum + depth * Math.sin(2 * Math.PI * f * t + phase),
        1 + (drift * t) / seconds,
      ),
    rate,
    seconds,
  );
  const analysis: Analysis = { ...analysisOf(waveform), ...known };
  return { waveform, analysis };
}

const phases = [0, 0.7, 1.9, 3.1, 4.6];

describe('tones and the cut-off', () => {
  it('finds the one crest of two tones between the points of its course', () => {
    for (let k = 0; k < 8; k++) {
      // Both are highest at one instant alone. About 40 points a period would lose up to 0.04 lx of 15 (1 - cos π/43).
      const crest = 0.25 + k * 0.00013;
      const tones = [160, 190].map((f): Tone => [0.15, f, Math.PI / 2 - 2 * Math.PI * f * crest]);
      const found = bandLimited(lit(tones), cutOff);
      expect(Math.abs(found.high - 1.3 * mean), `crest ${k}`).toBeLessThan(0.006);
      const trough = bandLimited(lit(tones.map(([d, f, phase = 0]) => [-d, f, phase])), cutOff);
      expect(Math.abs(trough.low - 0.7 * mean), `trough ${k}`).toBeLessThan(0.006);
    }
  });

  it('drops a tone above it and keeps one below it, two half-widths of the resolution and more away', () => {
    // Components of half a second lie 2 Hz apart.
    for (const phase of phases) {
      const above = bandLimited(lit([[0.3, cutOff + 2.3, phase]]), cutOff);
      expect(above.modulation).toBeLessThan(0.002);
      expect(above.without).toBe(above.modulation);
      const below = bandLimited(lit([[0.3, cutOff - 2.3, phase]]), cutOff);
      expect(Math.abs(below.modulation - 0.3)).toBeLessThan(0.002);
      expect(below.without).toBe(below.modulation);
    }
  });

  it('keeps a tone nearer than that, and says what the figure is without it', () => {
    for (const off of [-1.7, 0, 1.7]) {
      const found = bandLimited(lit([[0.3, cutOff + off]]), cutOff);
      expect(Math.abs(found.modulation - 0.3)).toBeLessThan(0.002);
      expect(found.without).toBeLessThan(0.002);
      expect(found.merged).toBe(0);
    }
  });

  const line = (frequency: number, depth: number, spread: number): SpectralLine => ({
    ...{ frequency, amplitude: depth * mean, spread },
  });

  it('keeps tones whose place is known no better than their distance from it', () => {
    // 8 Hz off it and known within 5 Hz: 1.6 of them.
    const lines = [line(192, 0.1, 5), line(208, 0.2, 5)];
    const tones: readonly Tone[] = [
      [0.1, 192],
      [0.2, 208],
    ];
    const found = bandLimited(lit(tones, { lines }), cutOff);
    expect(found.without).toBeLessThan(0.01);
    expect(found.modulation).toBeGreaterThan(0.27);
    // Each may be tones that nearly cancel: three times as strong as what is seen of them, beside it.
    expect(found.merged).toBeCloseTo((1 + 3) * (0.1 + 0.2), 4);
  });

  it('allows for what a wide line on it may hide: a spread of 0.4 bins, twice its strength', () => {
    const found = bandLimited(
      lit([[0.1, 200.3]], { lines: [line(200.3, 0.1, 0.4 * bin)] }),
      cutOff,
    );
    expect(found.merged).toBeCloseTo(0.1 * (1 + 1), 5);
  });

  it('counts what lies far above it or far below a line to the filter, and takes neither out', () => {
    // 170 Hz lies beyond eight cut-offs of 20 Hz; 24 Hz below sixteen bins. Mirrored ends leave some of what is not taken out.
    const far = bandLimited(lit([[0.3, 170]]), 20);
    expect(far.modulation).toBeGreaterThan(0.02);
    expect(bandLimited(lit([[0.3, 150]]), 20).modulation).toBeLessThan(0.01);
    const slow = bandLimited(lit([[0.1, 24]]), cutOff);
    expect(Math.abs(slow.modulation - 0.1)).toBeLessThan(0.002);
  });
});

describe('the record without its ends', () => {
  it('has four fifths of a drift', () => {
    const found = bandLimited(lit([], {}, 0.2), cutOff);
    expect(found.modulation).toBeCloseTo(0.1 / 1.1, 3);
    expect(found.within).toBeCloseTo(0.08 / 1.1, 3);
    // Nothing is seen on the other side of a highest point at an end: it is not carried on beyond it.
    expect(found.high).toBeLessThan(1.2 * mean + 0.01);
  });
});

describe('noise in the band', () => {
  /** Two periods of a slow sine, and a floor of three blocks: the same with any noise. */
  const slow = (floor: readonly number[], noise: number) => {
    const ends = Int32Array.of(40, 80, 501);
    const levels = Float64Array.from(floor);
    return lit([[0.1, 4]], { floor: { levels, ends, rms: noise }, noise });
  };
  /** Largest of noise of `rms` in the points near a crest: every half period of the cut-off's a new one, at 32 points a period. */
  const expected = (rms: number, points: number): number => {
    const reach = 2 * largestOfNormals(points) * rms;
    const near = (points * Math.acos(1 - reach / (0.1 * mean))) / Math.PI;
    return 2 * rms * largestOfNormals(near / 16);
  };
  const taken = (floor: readonly number[], noise: number) => {
    const { correction, high, low, course, modulation } = bandLimited(slow(floor, noise), cutOff);
    const off = correction * (high + low);
    expect(modulation).toBeCloseTo((0.2 * mean - off) / (high + low), 2);
    return { off, points: course.values.length };
  };

  it('is what lies between the lines below the cut-off', () => {
    // 39 bins of 1, 40 of 2 and 20 of 3, in units of 1e-4 lx²: a sine's mean square is half its square.
    const rms = Math.sqrt((39 * 1e-4 + 40 * 2e-4 + 20 * 3e-4) / 2);
    const { off, points } = taken([1e-4, 2e-4, 3e-4], 10);
    expect(off / expected(rms, points)).toBeGreaterThan(0.97);
    expect(off / expected(rms, points)).toBeLessThan(1.03);
  });

  it('is no more than the part of white noise that the band has', () => {
    const rms = 0.15 * Math.sqrt((2 * cutOff) / rate);
    const { off, points } = taken([1, 2, 3], 0.15);
    expect(off / expected(rms, points)).toBeGreaterThan(0.97);
    expect(off / expected(rms, points)).toBeLessThan(1.03);
  });

  it('takes no more off a crest than half of what there is', () => {
    const { modulation, low, high } = bandLimited(slow([1e4, 1e4, 1e4], 1e3), cutOff);
    expect(modulation).toBeCloseTo(0, 6);
    expect(low).toBeCloseTo(mean, 0);
    expect(high).toBeCloseTo(mean, 0);
  });

  it('is nothing where there is none', () => {
    expect(taken([0, 0, 0], 0).off).toBe(0);
  });
});
