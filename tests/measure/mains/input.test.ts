import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { inputPower } from '../../../harness/measure/metrics/mains/input-power.ts';
import { inrushCurrent } from '../../../harness/measure/metrics/mains/inrush-current.ts';
import type { Measured, Outcome } from '../../../harness/measure/outcome.ts';
import type { Signal } from '../../../harness/measure/signals.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { integrated, observing, sampled, withNoise } from '../light-of.ts';
import { recorded } from '../recorded.ts';
import { wellFormed } from '../well-formed.ts';

/** An observation of the lamp with the waveforms of these signals. */
function observed(metric: Metric, waveforms: Partial<Record<Signal, Waveform>>) {
  const [first] = Object.values(waveforms);
  if (!first) throw new Error('no waveform');
  const records = Object.entries(waveforms).map(([signal, waveform]) =>
    recorded(signal as Signal, signal, waveform),
  );
  return { ...observing(metric, first), of: 'lamp', records };
}

function outcomeOf(metric: Metric, waveforms: Partial<Record<Signal, Waveform>>): Outcome {
  return wellFormed(metric, observed(metric, waveforms));
}

function measuredOf(...asked: Parameters<typeof outcomeOf>): Measured {
  const outcome = outcomeOf(...asked);
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

/** Charge of a capacitor through a resistor from instant `at` on: A s, so that samples are exact means. */
function charge(volts: number, ohm: number, farad: number, at: number): (t: number) => number {
  return (t) => (t < at ? 0 : -volts * farad * Math.expm1(-(t - at) / (ohm * farad)));
}

describe('inrush', () => {
  it('of a capacitor has the peak V / R within its floor, however the samples lie (closed form)', () => {
    for (const rate of [20_000, 100_000])
      for (const tau of [5e-4, 2.2e-3])
        for (let part = 0; part < 1; part += 0.13) {
          const at = 0.01 + part / rate;
          const waveform = integrated(charge(48, 10, tau / 10, at), rate, 0.05);
          const { value, floor = 0 } = measuredOf(inrushCurrent, { 'supply-current': waveform });
          expect(value).toBeLessThan(4.8);
          expect(floor).toBeGreaterThanOrEqual(4.8 * (1 - 1e-3));
          expect(floor).toBeLessThan(4.8 * (1 + 2 / (rate * tau)));
        }
  });

  it('has its duration above half and its integral of the square in the notes (closed form)', () => {
    const waveform = integrated(charge(48, 10, 220e-6, 0.01), 100_000, 0.05);
    const { evidence } = measuredOf(inrushCurrent, { 'supply-current': waveform });
    expect(evidence.notes['duration-above-half']).toBeCloseTo(2.2e-3 * Math.LN2, 4);
    expect(evidence.notes['integral-of-the-square']).toBeCloseTo((4.8 ** 2 * 2.2e-3) / 2, 4);
  });

  it('counts either way of a mains current', () => {
    const waveform = sampled((t) => (t > 0.02 && t < 0.021 ? -7 : 0.1), 50_000, 0.05);
    expect(measuredOf(inrushCurrent, { 'mains-current': waveform }).value).toBe(7);
  });

  it('that noise makes larger has the noise in its uncertainty', () => {
    const clean = integrated(charge(48, 10, 220e-6, 0.01), 100_000, 0.05);
    for (let seed = 0; seed < 20; seed++) {
      const observation = observed(inrushCurrent, {
        'supply-current': withNoise(clean, 0.05, seed),
      });
      const assessed = assess(inrushCurrent, observation, [], 2);
      if (!('expanded' in assessed)) throw new Error('refused');
      const { value } = assessed.outcome;
      expect(value + assessed.expanded).toBeGreaterThan(4.8);
      expect(value - assessed.expanded).toBeLessThan(4.8);
    }
  });

  it('is not told of a record that its range cuts off, nor at a rate that shows none', () => {
    const waveform = sampled((t) => (t > 0.02 ? 5 : 0), 50_000, 0.05);
    const clipped = { ...waveform, clipped: 10, range: { low: -5, high: 5 } };
    const cut = outcomeOf(inrushCurrent, { 'supply-current': clipped });
    expect(cut).toMatchObject({ measured: false, reason: 'saturated' });
    const slow = sampled(() => 0, 2000, 0.05);
    const outcome = outcomeOf(inrushCurrent, { 'supply-current': slow });
    expect(outcome).toMatchObject({ measured: false, reason: 'too-slow' });
  });
});

describe('input power', () => {
  const rate = 20_000;
  const mains = sampled((t) => 230 * Math.SQRT2 * Math.sin(100 * Math.PI * t + 0.3), rate, 0.5);

  it.each([0, 0.7, Math.PI / 2])('of a sine is V I cos φ (φ = %f; closed form)', (phi) => {
    const amps = (t: number) => 0.01 * Math.SQRT2 * Math.sin(100 * Math.PI * t + 0.3 - phi);
    const current = sampled(amps, rate, 0.5);
    const { value } = measuredOf(inputPower, { 'mains-voltage': mains, 'mains-current': current });
    expect(value).toBeCloseTo(2.3 * Math.cos(phi), 4);
  });

  it('of a DC supply is V I, ripple of both counted', () => {
    const volts = sampled((t) => 48 + Math.sin(200 * Math.PI * t), rate, 0.5);
    const amps = sampled((t) => 0.01 + 0.004 * Math.sin(200 * Math.PI * t), rate, 0.5);
    const { value } = measuredOf(inputPower, { 'supply-voltage': volts, 'supply-current': amps });
    expect(value).toBeCloseTo(0.48 + 0.002, 6);
  });

  it('that hides within half a code is in the floor', () => {
    const amps = (t: number) => 0.00142 * Math.SQRT2 * Math.sin(100 * Math.PI * t + 0.3);
    const step = 5e-3;
    const current = sampled((t) => step * Math.round(amps(t) / step), rate, 0.5, { step });
    const outcome = measuredOf(inputPower, { 'mains-voltage': mains, 'mains-current': current });
    expect(outcome.value).toBe(0);
    expect(outcome.floor).toBeGreaterThan(230 * 0.00142);
  });

  it('is not told without the voltage, from records apart, nor of a supply that is off', () => {
    const current = sampled(() => 0.01, rate, 0.5);
    const without = outcomeOf(inputPower, { 'supply-current': current });
    expect(without).toMatchObject({ measured: false, reason: 'no-record' });
    const apart = { ...sampled(() => 48, rate, 0.5), start: 0.1 };
    const outcome = outcomeOf(inputPower, { 'supply-current': current, 'supply-voltage': apart });
    expect(outcome).toMatchObject({ measured: false, reason: 'no-record' });
    const off = sampled(() => 0, rate, 0.5);
    const dead = outcomeOf(inputPower, { 'supply-current': current, 'supply-voltage': off });
    expect(dead).toMatchObject({ measured: false, reason: 'out-of-domain' });
  });
});
