import { describe, expect, it } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { powerSpectrum } from '../../../harness/measure/signal/power-spectrum.ts';
import { addSlowNoise } from '../../../harness/measure/signal/slow-noise.ts';
import { slowNoisePower } from '../../../harness/measure/signal/slow-noise-power.ts';

const rate = 1000;

function noise(count: number, white: number, slow: number, seed: number): Float64Array {
  const samples = deviates(count, seed, 0).map((value) => white * value);
  if (slow > 0) addSlowNoise(samples, slow, seed ^ 77);
  return samples;
}

describe('slow noise', () => {
  it('has the density power / f that was asked for, in every octave up to a sixteenth of the rate within 20 %', () => {
    const power = 2.5;
    const sums = new Map<number, { sum: number; count: number }>();
    for (let seed = 0; seed < 60; seed++) {
      const samples = noise(8192, 0, power, seed * 31 + 1);
      const { power: bins, step } = powerSpectrum({ samples, rate });
      for (let k = 8; k < bins.length / 8; k++) {
        const octave = Math.floor(Math.log2(k));
        const own = sums.get(octave) ?? { sum: 0, count: 0 };
        // A density S fills a bin with 2 S step.
        own.sum += ((bins[k] ?? 0) * k * step) / (2 * step);
        own.count++;
        sums.set(octave, own);
      }
    }
    for (const { sum, count } of sums.values()) {
      expect(sum / count / power).toBeGreaterThan(0.8);
      expect(sum / count / power).toBeLessThan(1.2);
    }
  });

  it('is the same for the same seed, and another for another', () => {
    expect(noise(100, 0, 1, 5)).toEqual(noise(100, 0, 1, 5));
    expect(noise(100, 0, 1, 5)).not.toEqual(noise(100, 0, 1, 6));
  });
});

describe('slowNoisePower', () => {
  const found = (white: number, slow: number, seed: number, line = 0) => {
    const samples = noise(4000, white, slow, seed);
    for (let k = 0; k < samples.length; k++)
      samples[k] = (samples[k] ?? 0) + line * Math.sin((2 * Math.PI * 8.8 * k) / rate);
    const {
      spectrum,
      lines,
      noise: level,
    } = analysisOf({
      samples,
      rate,
      start: 0,
      unit: 'lx',
      clipped: 0,
    });
    return slowNoisePower(spectrum, lines, level);
  };

  it.each([
    ['alone', 0],
    ['beside a line ten times as strong', 3],
  ])('finds it within a factor of two, %s', (_, line) => {
    const all = Array.from({ length: 40 }, (_, seed) => found(0.1, 0.05, 13 * seed + 3, line));
    const mean = all.reduce((sum, each) => sum + each, 0) / all.length;
    expect(mean / 0.05).toBeGreaterThan(0.7);
    expect(mean / 0.05).toBeLessThan(1.4);
    expect(all.filter((each) => each > 0.025 && each < 0.1).length).toBeGreaterThan(34);
  });

  it('finds none in white noise, nine times in ten', () => {
    const all = Array.from({ length: 60 }, (_, seed) => found(1, 0, 17 * seed + 5));
    expect(all.filter((each) => each > 0).length).toBeLessThan(7);
  });
});
