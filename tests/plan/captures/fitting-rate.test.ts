import { describe, expect, it } from 'vitest';
import type { RigInstrument } from '../../../harness/bench/rig.ts';
import type { WaveformSignal } from '../../../harness/measure/signals.ts';
import { fittingRate } from '../../../harness/plan/captures/fitting-rate.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

type Limits = RigInstrument['limits'];

const pwmAt = (frequency: number) => {
  const { modulation, ...lamp } = shippedLamp('alcove-pwm');
  return {
    ...lamp,
    modulation: { ...modulation, kind: 'pwm', frequency, bits: 16, phaseShift: 0 },
  } as const;
};
const averaging: Limits = { acquisition: 'integrating' };

const rateOf = (
  asked: number,
  frequency: number,
  { limits = averaging, signal = 'light' as WaveformSignal, seconds = 1 } = {},
) => fittingRate(asked, signal, pwmAt(frequency), limits, seconds);

describe('the rate of a record of a lamp with pulse-width modulation', () => {
  it.each([
    // Whole periods in a sample.
    [20e3, 64e3, 64e3 / 3],
    [20e3, 25e3, 25e3],
    [16e3, 41.5e3, 20.75e3],
    [20e3, 40e3, 20e3],
    [2e3, 20e3, 2e3],
    // Whole samples in a period.
    [50e3, 20e3, 60e3],
    [64e3, 44.1e3, 132.3e3],
    [200e3, 25e3, 200e3],
    // Pulses that are seen one by one.
    [20e6, 64e3, 20e6],
  ])('%s Hz of %s Hz is taken at %s Hz', (asked, frequency, rate) => {
    expect(rateOf(asked, frequency)).toBeCloseTo(rate, 6);
  });

  it('is never less than asked for, nor three times as much, and keeps step with the periods', () => {
    for (let frequency = 19e3; frequency < 100e3; frequency += 700)
      for (const asked of [500, 2e3, 16e3, 20e3, 50e3, 64e3]) {
        const rate = rateOf(asked, frequency);
        expect(rate).toBeGreaterThanOrEqual(asked * (1 - 1e-9));
        expect(rate).toBeLessThanOrEqual(3 * asked);
        const ratio = Math.max(rate / frequency, frequency / rate);
        expect(Math.abs(ratio - Math.round(ratio))).toBeLessThan(1e-6);
      }
  });

  it('is as asked for where the digitiser looks at instants, says nothing, or cannot go higher', () => {
    expect(rateOf(20e3, 25e3, { limits: { acquisition: 'point' } })).toBe(20e3);
    expect(rateOf(20e3, 25e3, { limits: {} })).toBe(20e3);
    expect(rateOf(20e3, 25e3, { limits: { ...averaging, highestRate: 24e3 } })).toBe(20e3);
    expect(rateOf(20e3, 25e3, { limits: { ...averaging, memory: 24e3 } })).toBe(20e3);
    expect(rateOf(20e3, 25e3, { signal: 'supply-current' })).toBe(20e3);
    expect(fittingRate(20e3, 'light', shippedLamp('alcove-6'), averaging, 1)).toBe(20e3);
  });
});
