import { describe, expect, it } from 'vitest';
import type { PowerSpectrum } from '../../../harness/measure/signal/power-spectrum.ts';
import { slowNoisePower } from '../../../harness/measure/signal/slow-noise-power.ts';

const step = 0.25;
const length = 2048;

/** Groups of bins 3 … 5, 6 … 11, … below an eighth of the spectrum; each has one level, white noise and slow noise together. */
function spectrumOf(white: number, slow: number, segments = 1): PowerSpectrum {
  const median = segments > 1 ? 1 - 1 / (3 * segments) : Math.LN2;
  const power = new Float64Array(length / 2 + 1);
  for (let k = 3; k < power.length; k++) {
    const first = 3 * 2 ** Math.floor(Math.log2(k / 3));
    // A density slow/f fills a bin of width `step`, whose power is that of an amplitude squared, with 2 step slow/f.
    const share = (2 * step) / (first * Math.SQRT2 * step);
    power[k] = median * ((4 * white ** 2) / length + share * slow);
  }
  return { power, mean: 0, step, length, segments, window: 'blackman-harris' };
}

describe('power of noise that falls with frequency', () => {
  it.each([
    [0, 0.5, 1],
    [0, 0.5, 5],
    [0.3, 0.5, 1],
    [3, 0.5, 5],
  ])(
    'beside white noise of %s is the %s that was put in, of %s segments',
    (white, slow, segments) => {
      expect(slowNoisePower(spectrumOf(white, slow, segments), [], white)).toBeCloseTo(slow, 9);
    },
  );

  it('is none where white noise explains it, or there is nothing', () => {
    expect(slowNoisePower(spectrumOf(0.3, 0), [], 0.3)).toBe(0);
    expect(slowNoisePower(spectrumOf(0.3, 0), [], 0.5)).toBe(0);
    expect(slowNoisePower(spectrumOf(0, 0), [], 0)).toBe(0);
    expect(
      slowNoisePower({ ...spectrumOf(0, 1), power: new Float64Array(20).fill(1) }, [], 0),
    ).toBe(0);
  });

  it('is none that is not two standard deviations above nothing', () => {
    // Σ weight share²/expected² = Σ max(1, bins/4) at white 0: eight groups of 3, 6, … 96 bins below bin 128.
    const weights = [1, 1.5, 3, 6, 12, 24].reduce((sum, each) => sum + each);
    expect(weights).toBeGreaterThan(4);
    // Against white noise so strong that only what is left counts.
    const shares = [3, 6, 12, 24, 48, 96].map((first) => Math.SQRT2 / first);
    const perWhite = (white: number) => (4 * white ** 2) / length;
    const standard = (white: number, slow: number) =>
      1 /
      Math.sqrt(
        shares.reduce(
          (sum, share, k) =>
            sum +
            ([1, 1.5, 3, 6, 12, 24][k] ?? 0) * (share / (perWhite(white) + share * slow)) ** 2,
          0,
        ),
      );
    let white = 1;
    while (standard(white, 0.5) < 0.25) white *= 1.01;
    expect(slowNoisePower(spectrumOf(white * 0.98, 0.5), [], white * 0.98)).toBeCloseTo(0.5, 6);
    expect(slowNoisePower(spectrumOf(white * 1.02, 0.5), [], white * 1.02)).toBe(0);
  });

  it('leaves out the bins that a line reaches, five on either side, and groups of which too few are left', () => {
    const lines = [53, 64, 75, 86].map((at) => ({ frequency: at * step, amplitude: 1 }));
    const spectrum = spectrumOf(0, 0.5);
    for (const at of [53, 64, 75, 86]) spectrum.power.fill(1000, at - 5, at + 6);
    expect(slowNoisePower(spectrum, lines, 0)).toBeCloseTo(0.5, 9);
    // A line at bin 8 leaves 3 … 5 nothing, and 6 … 11 nothing: those are not asked.
    const low = spectrumOf(0, 0.5);
    low.power.fill(1000, 3, 14);
    expect(slowNoisePower(low, [{ frequency: 8 * step, amplitude: 1 }], 0)).toBeCloseTo(0.5, 9);
    expect(slowNoisePower(low, [], 0)).not.toBeCloseTo(0.5, 1);
  });

  it('is no more than any octave allows: what gathers elsewhere is the lamp’s own', () => {
    const spectrum = spectrumOf(0, 0.5);
    spectrum.power.subarray(96, 192).forEach((_, k, part) => {
      part[k] = (part[k] ?? 0) / 100;
    });
    // That octave alone says 0.005, with a weight of 24; two standard deviations more.
    expect(slowNoisePower(spectrum, [], 0)).toBeCloseTo(0.005 * (1 + 2 / Math.sqrt(24)), 9);
  });

  it('takes the octaves by how well each tells it', () => {
    // Four times as much in the lowest octave of all, which has a weight of 1 against 46.5 of the others.
    const spectrum = spectrumOf(0, 0.5);
    spectrum.power.subarray(3, 6).forEach((_, k, part) => {
      part[k] = 4 * (part[k] ?? 0);
    });
    expect(slowNoisePower(spectrum, [], 0)).toBeCloseTo((0.5 * (46.5 + 4)) / 47.5, 9);
  });
});
