import { describe, expect, it } from 'vitest';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import { ieee1789Limit } from '../../harness/measure/features/flicker/ieee1789-limits.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import { ieee1789LowRiskComponents } from '../../harness/measure/metrics/flicker/ieee1789-components.ts';
import { levelNoise } from '../../harness/measure/metrics/level/level-noise.ts';
import { deviates } from '../../harness/measure/signal/deviates.ts';
import { assess } from '../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { observing } from '../measure/light-of.ts';

const rate = 5000;
const mean = 100;
const input: InputCalibration = {
  capture: 'light',
  signal: 'light',
  of: 'light',
  standardScale: 0,
  standardOffset: 0,
  noise: 1,
  timeBase: 0,
  step: 0,
  dark: noDarkNoise,
};

/** U of a metric on light of 100 lx with white noise of 1 lx rms that nothing else disturbs, `seconds` long. */
function assessed(
  metric: Metric,
  { seconds, seed, step = 0 }: { seconds: number; seed: number; step?: number },
  more: (time: number) => number,
): { value: number; expanded: number } {
  const samples = deviates(seconds * rate, seed, 0).map((deviate, k) => {
    const value = mean + deviate + more(k / rate);
    return step > 0 ? Math.round(value / step) * step : value;
  });
  const waveform = { samples, rate, start: 0, unit: 'lx', clipped: 0, ...(step > 0 && { step }) };
  const result = assess(metric, observing(metric, waveform), [input], 2);
  if (!('expanded' in result)) throw new Error(result.outcome.reason);
  return { value: result.outcome.value, expanded: result.expanded };
}

describe('the worst component of light that hardly rises out of noise', () => {
  const frequency = 5.5;
  const limit = mean * ieee1789Limit('low-risk', frequency);
  // A sine's amplitude is known to sqrt(4 / samples) of the noise (Blackman-Harris window, computed).
  const standard = Math.sqrt(4 / rate) / limit;
  const found = (amplitude: number, seed: number) =>
    assessed(
      ieee1789LowRiskComponents,
      { seconds: 1, seed },
      (time) => amplitude * Math.sin(2 * Math.PI * frequency * time + seed),
    );

  it('lies within U of the true one in 95 % of 200 simulated measurements, seen or hidden', () => {
    let covered = 0;
    for (let run = 0; run < 200; run++) {
      // From nothing to half as much again as stands out.
      const share = (run / 200) * 12 * standard;
      const { value, expanded } = found(share * limit, 7000 + 13 * run);
      if (Math.abs(value - share) <= expanded) covered++;
    }
    expect(covered / 200).toBeGreaterThan(0.94);
  }, 180_000);

  it('is not called 0 without more ado where none is seen, nor given more room than noise hides', () => {
    for (let run = 0; run < 20; run++) {
      const { value, expanded } = found(0, 90 + run);
      expect(value).toBe(0);
      expect(expanded).toBeGreaterThan(2 * standard);
      // 3 Hz, where the band begins, has three fifths of the limit of the 5 Hz that the record resolves.
      expect(expanded).toBeLessThan((5 / 3) * 8 * standard);
    }
  });

  it('has no more room than a hidden component of 5 Hz takes, once another is worse than that', () => {
    const { value, expanded } = found(100 * standard * limit, 5);
    expect(value / standard).toBeGreaterThan(95);
    expect(expanded / standard).toBeLessThan(4);
  });
});

describe('noise of a level that hardly rises out of the sensor’s', () => {
  // A slow beat of the lamp, faster than the windows that are averaged over and slower than the sensor's noise.
  const beat = (amplitude: number) => (time: number) =>
    amplitude * Math.sin(2 * Math.PI * 3.1 * time);
  // rms of a sine; averaging over a Hann window of 50 ms leaves 0.985 of one of 3.1 Hz (computed).
  const scatter = (amplitude: number) => (0.985 * amplitude) / Math.SQRT2 / mean;

  it.each([0, 0.5, 1, 1.5, 2])(
    'lies within U of the lamp’s own as often as it should, with steps of %s lx',
    (step) => {
      let covered = 0;
      for (let run = 0; run < 100; run++) {
        const amplitude = (run / 100) * 0.25;
        const light = { seconds: 2, seed: 300 + 7 * run, step };
        const more = (time: number) => 0.137 * run + beat(amplitude)(time);
        const { value, expanded } = assessed(levelNoise, light, more);
        if (Math.abs(value - scatter(amplitude)) <= expanded) covered++;
      }
      expect(covered).toBeGreaterThanOrEqual(93);
    },
  );
});
