import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { peakCurrent } from '../../../harness/measure/metrics/current/peak-current.ts';
import { turnOnOvershoot } from '../../../harness/measure/metrics/current/turn-on-overshoot.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { currentOf, integratedCurrent } from './current-of.ts';

function intervalOf(metric: Metric, waveform: Waveform): { value: number; expanded: number } {
  const assessed = assess(metric, currentOf(waveform), [], 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  return { value: assessed.outcome.value, expanded: assessed.expanded };
}

/** Integral of a ripple from 400 to 700 mA: up in 5/3 µs, down in 1 µs (the first stage of the design table). */
function ripple(t: number): number {
  const [on, off] = [5 / 3e6, 1e-6];
  const cycles = Math.floor(t / (on + off));
  const rest = t - cycles * (on + off);
  const up = Math.min(rest, on);
  const down = Math.max(0, rest - on);
  const rising = 0.4 * up + (0.15 * up * up) / on;
  return cycles * 0.55 * (on + off) + rising + 0.7 * down - (0.15 * down * down) / off;
}

describe('the peak of a ripple', () => {
  const cases = [2e6, 3e6, 5e6, 7.3e6, 10e6].flatMap((rate) =>
    [0, 0.13, 0.37].flatMap((phase) => [0, 1e-3].map((noise) => [rate, phase, noise] as const)),
  );
  it.each(cases)('at %d S/s, phase %d, noise %d, holds 700 mA', (rate, phase, noise) => {
    const record = integratedCurrent((t) => ripple(t + phase * 1e-6), rate, 400e-6, noise);
    const { value, expanded } = intervalOf(peakCurrent, record);
    expect(value + expanded).toBeGreaterThanOrEqual(0.7 - 1e-6);
    expect(value - expanded).toBeLessThanOrEqual(0.7 + 1e-6);
    expect(expanded).toBeLessThan(0.08);
    // No figure lies under a sample that noise does not explain.
    expect(value).toBeGreaterThanOrEqual(Math.max(...record.samples) - 5 * noise - 1e-9);
  });

  it('is not told of pulses shorter than a sample', () => {
    const pulse = (t: number) => 0.35 * (Math.floor(t * 1e3) * 3.1e-6 + Math.min(t % 1e-3, 3.1e-6));
    const record = integratedCurrent(pulse, 1e5, 0.1);
    expect(peakCurrent.compute(currentOf(record))).toMatchObject({ reason: 'too-slow' });
  });
});

describe('an overshoot that dies away within a few samples', () => {
  /** Integral of pulses of 50 µs every 100 µs, 500 mA with an overshoot that falls by e in `tau`. */
  const overshooting = (size: number, tau: number) => (t: number) => {
    const of = (x: number) => {
      const on = Math.min(x, 50e-6);
      return 0.5 * (on + size * tau * (1 - Math.exp(-on / tau)));
    };
    const pulses = Math.floor(t / 100e-6);
    return pulses * of(100e-6) + of(t - pulses * 100e-6);
  };
  const cases = [
    [1e6, 0.08, 3e-6],
    [1e6, 0.4, 3e-6],
    [2e6, 0.08, 3e-6],
    [1e6, 0.08, 5e-6],
    [5e6, 0.08, 3e-6],
  ].flatMap(([rate = 0, size = 0, tau = 0]) =>
    [0, 0.2, 0.5, 0.8].map((phase) => [rate, size, tau, phase] as const),
  );
  it.each(cases)('at %d S/s: %d, falling in %d s, phase %d', (rate, size, tau, phase) => {
    const area = overshooting(size, tau);
    const shift = 1e-3 + 20.3e-6 - phase / rate;
    const record = integratedCurrent((t) => area(t + shift), rate, 1e-3, 1e-4);
    const { value, expanded } = intervalOf(turnOnOvershoot, record);
    expect(value + expanded).toBeGreaterThanOrEqual(size);
    expect(value - expanded).toBeLessThanOrEqual(size);
    expect(expanded).toBeLessThan(0.3 * size);
  });
});
