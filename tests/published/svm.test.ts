import { describe, expect, test } from 'vitest';
import { visibilityThreshold } from '../../harness/measure/features/flicker/visibility-threshold.ts';
import { stroboscopicVisibility } from '../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
import { figureOf, sampled } from '../measure/light-of.ts';

// Formula and threshold curve: IEC TR 63158:2018 + COR 1 and Perz et al. 2018 (confirmed). The table is computed from
// them with exact Fourier series, harmonics up to 2000 Hz inclusive, 100 % modulation.

const shapes = ['sine', 'full-wave', 50, 25, 10, 75, 90, 'triangle', 'sawtooth'] as const;
const table: readonly (readonly [number, readonly number[]])[] = [
  [80, [4.004, 2.6703, 5.1044, 7.4885, 9.031, 2.4962, 1.0034, 3.2456, 2.5801]],
  [100, [3.8473, 2.5656, 4.9026, 7.1467, 8.4458, 2.3822, 0.9384, 3.1185, 2.4732]],
  [120, [3.6864, 2.4582, 4.6964, 6.8106, 7.9268, 2.2702, 0.8808, 2.9881, 2.3653]],
  [200, [3.0603, 2.0404, 3.8972, 5.5834, 6.2913, 1.8611, 0.699, 2.4806, 1.9558]],
  [300, [2.4082, 1.6056, 3.0664, 4.3679, 4.8523, 1.456, 0.5391, 1.952, 1.5363]],
  [500, [1.5541, 1.0361, 1.9789, 2.809, 3.0949, 0.9363, 0.3439, 1.2597, 0.9905]],
  [1000, [0.6924, 0.4616, 0.8815, 1.2493, 1.3707, 0.4164, 0.1523, 0.5612, 0.441]],
  [1500, [0.3993, 0.2662, 0.5084, 0.719, 0.7855, 0.2397, 0.0873, 0.3236, 0.2542]],
  [2000, [0.2647, 0.1765, 0.337, 0.4766, 0.5207, 0.1589, 0.0579, 0.2145, 0.1685]],
];

/** Light at a phase of its period, 0..1. */
function light(shape: (typeof shapes)[number], phase: number): number {
  switch (shape) {
    case 'sine':
      return 1 + Math.sin(2 * Math.PI * phase);
    case 'full-wave':
      return Math.sin(Math.PI * phase);
    case 'triangle':
      return 4 * Math.abs(phase - 0.5);
    case 'sawtooth':
      return 2 * phase;
    default:
      return phase < shape / 100 ? 1 : 0;
  }
}

describe('SVM agrees with the computed table within 0.5 %', () => {
  for (const [frequency, row] of table) {
    test(`${frequency} Hz, nine waveforms`, () => {
      // Many whole samples a period, so that the edges of pulses lie between samples and stay where they are.
      const rate = frequency * (frequency <= 200 ? 400 : 200);
      shapes.forEach((shape, column) => {
        const waveform = sampled((t) => light(shape, (t * frequency) % 1), rate, 1);
        const expected = row[column] ?? Number.NaN;
        const found = figureOf(stroboscopicVisibility, waveform);
        // The small entries are printed to four places only.
        expect(Math.abs(found - expected), `${shape}`).toBeLessThan(0.005 * expected + 5e-5);
      });
    });
  }
});

test('the threshold curve has the published values', () => {
  // Computed from the confirmed coefficients.
  const values = [
    [80, 0.249751],
    [100, 0.259924],
    [120, 0.27127],
    [500, 0.643442],
    [1000, 1.444339],
    [2000, 3.778153],
  ] as const;
  for (const [frequency, expected] of values) {
    expect(visibilityThreshold('tr63158', frequency)).toBeCloseTo(expected, 6);
  }
  // Older curve, from memory.
  expect(visibilityThreshold('tn006', 100)).toBeCloseTo(0.2563, 4);
  expect(visibilityThreshold('tn006', 120)).toBeCloseTo(0.2757, 4);
  expect(visibilityThreshold('tn006', 500)).toBeCloseTo(0.7314, 4);
});

test('a sine whose modulation is the threshold gives 1, at any frequency between the bins', () => {
  for (const frequency of [87.3, 100, 333.33, 701.9]) {
    const m = visibilityThreshold('tr63158', frequency);
    const waveform = sampled((t) => 2 + 2 * m * Math.sin(2 * Math.PI * frequency * t), 20e3, 1);
    expect(figureOf(stroboscopicVisibility, waveform)).toBeCloseTo(1, 4);
  }
});

test('modulation of a 100 Hz sine for 0.4, 0.9 and 1.6 (computed)', () => {
  for (const [m, expected] of [
    [0.10397, 0.4],
    [0.23393, 0.9],
    [0.41588, 1.6],
  ] as const) {
    const waveform = sampled((t) => 1 + m * Math.sin(2 * Math.PI * 100 * t), 20e3, 1);
    expect(figureOf(stroboscopicVisibility, waveform)).toBeCloseTo(expected, 3);
  }
});

test('the older curve is an option of its own', () => {
  const waveform = sampled((t) => 1 + 0.2563 * Math.sin(2 * Math.PI * 100 * t), 20e3, 1);
  expect(figureOf(stroboscopicVisibility, waveform, { curve: 'tn006' })).toBeCloseTo(1, 3);
  expect(figureOf(stroboscopicVisibility, waveform)).toBeCloseTo(0.2563 / 0.259924, 3);
});
