import { describe, expect, it } from 'vitest';
import { measured } from '../../harness/measure/outcome.ts';
import { assess } from '../../harness/verdict/assess.ts';
import {
  calibration,
  expandedOf,
  level,
  mean,
  metricOf,
  observe,
  steady,
  waveform,
} from './assessed.ts';

describe("assess, of a converter's steps", () => {
  it('counts rounding of a quiet record as step / √12', () => {
    expect(expandedOf(level, steady, [calibration({ step: 0.12 })], 1)).toBeCloseTo(
      0.12 / Math.sqrt(12),
      9,
    );
  });

  it('counts rounding that repeats with the light as a line of the light may count it', () => {
    // Third harmonic of a sine: there is none, but for what rounding to whole steps of 0.01 lx makes.
    const length = 600;
    const third = metricOf((observation) => {
      const { samples } = waveform(observation);
      let [re, im] = [0, 0];
      for (let k = 0; k < length; k++) {
        const angle = (2 * Math.PI * 3 * 12 * k) / length;
        [re, im] = [re + samples[k]! * Math.cos(angle), im + samples[k]! * Math.sin(angle)];
      }
      return measured((2 * Math.hypot(re, im)) / length);
    });
    const step = 0.01;
    let covered = 0;
    for (let run = 0; run < 200; run++) {
      const level = 1 + run * 0.00137;
      const amplitude = step * (2 + run / 40);
      const samples = Array.from({ length }, (_, k) => {
        const light = level + amplitude * Math.sin((2 * Math.PI * 12 * k) / length + 0.1);
        return Math.round(light / step) * step;
      });
      const assessed = assess(third, observe([{ samples }]), [calibration({ step })], 2);
      if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
      if (assessed.outcome.value <= assessed.expanded) covered++;
    }
    expect(covered / 200).toBeGreaterThan(0.9);
  });

  it('counts rounding sample by sample where the light itself moves over the steps', () => {
    // The spread of two samples: one error of all of them would cancel.
    const spread = metricOf((observation) => {
      const { samples } = waveform(observation);
      return measured(samples[1]! - samples[0]!);
    });
    const input = [calibration({ step: 0.12 })];
    const standards = Array.from({ length: 60 }, (_, k) =>
      expandedOf(spread, observe([{ samples: [4, 5 + k / 100] }]), input, 1),
    );
    const one = Math.SQRT2 * (0.12 / Math.sqrt(12)) * 1.1832;
    // Once as white noise and once as an error that goes with the light, as nobody knows which it is.
    expect(mean(standards) / one / Math.SQRT2).toBeGreaterThan(0.85);
    expect(mean(standards) / one / Math.SQRT2).toBeLessThan(1.15);
    expect(expandedOf(spread, observe([{ samples: [4, 4.12] }]), input, 1)).toBeLessThan(1e-12);
  });

  it('lets noise spread the rounding of a noisy record, so that the mean hardly moves', () => {
    const standard = expandedOf(level, steady, [calibration({ step: 0.12, noise: 0.2 })], 1);
    expect(standard).toBeGreaterThan(0);
    expect(standard).toBeLessThan(0.12 / Math.sqrt(12));
  });
});
