import { describe, expect, it } from 'vitest';
import { fallTime, riseTime } from '../../../harness/measure/metrics/current/edge-time.ts';
import { meanCurrent } from '../../../harness/measure/metrics/current/mean-current.ts';
import { regulation } from '../../../harness/measure/metrics/current/regulation.ts';
import { shortestPulse } from '../../../harness/measure/metrics/current/shortest-pulse.ts';
import { rippleCurrent } from '../../../harness/measure/metrics/current/switching.ts';
import { turnOnOvershoot } from '../../../harness/measure/metrics/current/turn-on-overshoot.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { deviates } from '../light-of.ts';
import { currentOf, figure, reason } from './current-of.ts';

/** Trapezoids every 10 µs: 250 ns up, 125 ns down; every seventh one is 2 µs wide at the middle, the others 4 µs. */
function pulses(rate: number, noise = 0, overshoot = 0): Waveform {
  const next = deviates(3);
  const fine = 20;
  const current = (t: number) => {
    const cycle = Math.floor(t / 10e-6);
    const since = t - cycle * 10e-6 - 3e-6;
    const width = (cycle % 7 === 3 ? 2e-6 : 4e-6) + 125e-9 - 62.5e-9;
    if (since < 0) return 0;
    if (since < 250e-9) return 0.5 * (since / 250e-9);
    if (since < width) return 0.5 * (1 + overshoot * Math.exp(-(since - 250e-9) / 0.2e-6));
    return 0.5 * Math.max(0, 1 - (since - width) / 125e-9);
  };
  const samples = Float64Array.from({ length: Math.round(1e-3 * rate) }, (_, k) => {
    let sum = 0;
    for (let part = 0; part < fine; part++) sum += current((k + (part + 0.5) / fine) / rate);
    return sum / fine + noise * next();
  });
  return { samples, rate, start: 0, unit: 'A', clipped: 0 };
}

describe('pulses of known shape', () => {
  // Computed: 10 % to 90 % of a straight flank is 0.8 of it.
  it.each([
    [100e6, 0],
    [100e6, 0.002],
    [40e6, 0],
  ])('have edges of 200 ns and 100 ns at %f S/s with noise %f A', (rate, noise) => {
    const record = currentOf(pulses(rate, noise));
    expect(Math.abs(figure(riseTime, record) - 200e-9)).toBeLessThan(6e-9);
    expect(Math.abs(figure(fallTime, record) - 100e-9)).toBeLessThan(9e-9);
  });

  it('have a shortest pulse of 2 µs', () => {
    expect(figure(shortestPulse, currentOf(pulses(100e6)))).toBeCloseTo(2e-6, 9);
    expect(Math.abs(figure(shortestPulse, currentOf(pulses(20e6, 0.002))) - 2e-6)).toBeLessThan(
      2e-8,
    );
  });

  it('overshoot by a fifth when they do, and not when they do not', () => {
    expect(figure(turnOnOvershoot, currentOf(pulses(200e6, 0, 0.2)))).toBeCloseTo(0.2, 2);
    expect(figure(turnOnOvershoot, currentOf(pulses(200e6)))).toBeLessThan(1e-9);
  });

  it('have a mean of the flat top while on', () => {
    expect(figure(meanCurrent, currentOf(pulses(100e6), { while: 'on' }))).toBeCloseTo(0.5, 2);
    // Computed: six pulses of 4 µs and one of 2 µs in 70 µs, give or take what the record's end cuts off.
    const always = figure(meanCurrent, currentOf(pulses(100e6), { while: 'always' }));
    expect(always / (0.5 * (26 / 70))).toBeCloseTo(1, 1);
  });

  it('scale with the current and not in time', () => {
    const record = pulses(100e6);
    const twice = { ...record, samples: record.samples.map((value) => 2 * value) };
    expect(figure(riseTime, currentOf(twice))).toBeCloseTo(figure(riseTime, currentOf(record)), 12);
    expect(figure(meanCurrent, currentOf(twice))).toBeCloseTo(
      2 * figure(meanCurrent, currentOf(record)),
      9,
    );
  });
});

describe('records that say too little', () => {
  it('are too slow for pulses, and the rate needed is said', () => {
    expect(shortestPulse.compute(currentOf(pulses(1e6)))).toMatchObject({
      reason: 'too-slow',
      found: 1e6,
      unit: 'Hz',
    });
    expect(reason(shortestPulse, currentOf(pulses(400e3)))).toBe('unresolved');
  });

  it.each([2e6, 5e6, 10e6, 13e6, 20e6, 27e6, 40e6, 100e6])(
    'widen edges at %f S/s, and the uncertainty holds the true 200 ns and 100 ns all the same',
    (rate) => {
      for (const [metric, truth] of [
        [riseTime, 200e-9],
        [fallTime, 100e-9],
      ] as const) {
        const outcome = metric.compute(currentOf(pulses(rate)));
        if (!outcome.measured) throw new Error(outcome.reason);
        const standard = Math.hypot(...outcome.contributions.map((one) => one.standard));
        expect(Math.abs(outcome.value - truth)).toBeLessThan(2 * standard);
        expect(standard).toBeLessThan(0.6 / rate);
      }
    },
  );

  const flat = (value: number, count = 1000): Waveform => ({
    samples: new Float64Array(count).fill(value),
    rate: 1e6,
    start: 0,
    unit: 'A',
    clipped: 0,
  });

  it('have no edges and no ripple when they are flat', () => {
    for (const metric of [riseTime, fallTime, shortestPulse, turnOnOvershoot]) {
      expect(reason(metric, currentOf(flat(0.5)))).toBe('no-edge');
    }
    expect(reason(rippleCurrent, currentOf(flat(0.5)))).toBe('no-periodicity');
    expect(reason(rippleCurrent, currentOf(flat(0)))).toBe('dark');
  });

  it.each([riseTime, fallTime, shortestPulse, turnOnOvershoot, rippleCurrent, meanCurrent])(
    'give no number of $id when empty, not finite, negative or clipped',
    (metric) => {
      expect(reason(metric, currentOf(flat(1, 0)))).toBe('empty');
      expect(reason(metric, currentOf(flat(Number.NaN)))).toBe('not-finite');
      expect(reason(metric, currentOf(flat(Number.POSITIVE_INFINITY)))).toBe('not-finite');
      expect(reason(metric, currentOf(flat(-0.5)))).toBe('negative-light');
      expect(reason(metric, currentOf({ ...flat(0.5), clipped: 3 }))).toBe('saturated');
      expect(() => metric.compute(currentOf(flat(0.5, 1)))).not.toThrow();
    },
  );
});

describe('regulation', () => {
  const steps = (levels: readonly number[]): Waveform => ({
    samples: Float64Array.from(
      { length: 1000 * levels.length },
      (_, k) => levels[Math.floor(k / 1000)]!,
    ),
    rate: 1000,
    start: 0,
    unit: 'A',
    clipped: 0,
  });
  const marks = [
    { name: 'nominal', at: 1 },
    { name: 'high', at: 2 },
  ];

  it('is the spread over the stretches between marks, relative to their mean', () => {
    expect(figure(regulation, currentOf(steps([0.5, 0.49, 0.51]), {}, marks))).toBeCloseTo(0.04, 9);
    expect(figure(regulation, currentOf(steps([0.5, 0.5, 0.5]), {}, marks))).toBeCloseTo(0, 12);
  });

  it('compares a window with its reference', () => {
    const observation = {
      ...currentOf(steps([0.5, 0.4])),
      window: { from: 1, to: 2 },
      reference: { from: 0, to: 1 },
    };
    expect(figure(regulation, observation)).toBeCloseTo(0.1 / 0.45, 9);
  });

  it('needs two stretches', () => {
    expect(reason(regulation, currentOf(steps([0.5, 0.4])))).toBe('no-reference');
  });
});
