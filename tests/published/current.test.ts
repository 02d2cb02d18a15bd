import { describe, expect, it } from 'vitest';
import { fixedOffTime } from '../../harness/measure/features/current/fixed-off-time.ts';
import { meanCurrent } from '../../harness/measure/metrics/current/mean-current.ts';
import { peakCurrent } from '../../harness/measure/metrics/current/peak-current.ts';
import {
  offTime,
  rippleCurrent,
  switchingFrequency,
} from '../../harness/measure/metrics/current/switching.ts';
import { currentOf, figure, integratedCurrent } from '../measure/current/current-of.ts';

/**
 * Worked rows of a buck stage with fixed off-time: V_in, V_LED, L in µH, t_off in µs, I_pk, then ripple, mean, t_on in µs
 * and f in kHz. Computed from design equations that are confirmed in three driver data sheets.
 */
const rows = [
  [48, 30, 100, 1.0, 0.7, 0.3, 0.55, 1.66667, 375],
  [24, 12, 47, 1.5, 1.0, 0.382979, 0.808511, 1.5, 333.333],
  [48, 24, 68, 1.0, 0.5, 0.352941, 0.323529, 1.0, 500],
  [12, 3.3, 22, 1.0, 0.5, 0.15, 0.425, 0.37931, 725],
] as const;

function stageOf([
  supplyVoltage,
  ledVoltage,
  microhenry,
  microseconds,
  peakCurrent,
]: readonly number[]) {
  return {
    supplyVoltage: supplyVoltage!,
    ledVoltage: ledVoltage!,
    inductance: microhenry! * 1e-6,
    offTime: microseconds! * 1e-6,
    peakCurrent: peakCurrent!,
  };
}

describe('the design equations of the fixed off-time stage', () => {
  it.each(rows)('at %f V into %f V', (...row) => {
    const design = fixedOffTime(stageOf(row));
    if (!design.continuous) throw new Error(design.because);
    expect(design.ripple).toBeCloseTo(row[5], 6);
    expect(design.meanCurrent).toBeCloseTo(row[6], 6);
    expect(design.onTime * 1e6).toBeCloseTo(row[7], 5);
    expect(design.frequency / 1e3).toBeCloseTo(row[8], 3);
    // D = V_LED / V_in and f = (1 - D) / t_off (confirmed).
    expect(design.duty).toBeCloseTo(row[1] / row[0], 12);
    expect(design.frequency).toBeCloseTo((1 - row[1] / row[0]) / (row[3] * 1e-6), 3);
  });

  it('has an rms current of 0.556776 A in the first row (computed)', () => {
    const design = fixedOffTime(stageOf(rows[0]));
    expect(design.continuous && design.rmsCurrent).toBeCloseTo(0.556776, 6);
  });

  it('rejects the row whose current would fall below zero (48 V, 36 V, 0.35 A)', () => {
    const design = fixedOffTime(stageOf([48, 36, 100, 1, 0.35]));
    expect(design).toMatchObject({ continuous: false, broken: 'discontinuous' });
    expect(design.continuous || design.because).toContain('-0.0100 A');
  });

  it('adds 18 mA for a comparator delay of 100 ns in the first row (computed)', () => {
    const design = fixedOffTime({ ...stageOf(rows[0]), comparatorDelay: 100e-9 });
    expect(design.continuous && design.peakCurrent - 0.7).toBeCloseTo(0.018, 12);
  });

  it('keeps its ripple when the supply changes, and not its frequency', () => {
    const at = (supplyVoltage: number) => fixedOffTime({ ...stageOf(rows[0]), supplyVoltage });
    const [low, high] = [at(40), at(60)];
    expect(low.continuous && high.continuous && low.ripple - high.ripple).toBe(0);
    expect(low.continuous && high.continuous && low.frequency < high.frequency).toBe(true);
  });

  it.each([
    [{ supplyVoltage: 30 }, 'no-headroom'],
    [{ supplyVoltage: 20 }, 'no-headroom'],
    [{ inductance: 0 }, 'out-of-domain'],
    [{ offTime: -1e-6 }, 'out-of-domain'],
    [{ peakCurrent: Number.NaN }, 'out-of-domain'],
    [{ diodeDrop: -1 }, 'out-of-domain'],
  ] as const)('rejects %o', (change, broken) => {
    expect(fixedOffTime({ ...stageOf(rows[0]), ...change })).toMatchObject({ broken });
  });
});

describe.each(rows)('a record of the stage at %f V into %f V', (...row) => {
  const [, , , off, peak, ripple, mean, on, kilohertz] = row;
  const period = (off + on) * 1e-6;
  const rising = (t: number) => (peak - ripple) * t + (ripple * t * t) / (2 * on * 1e-6);
  const area = (t: number) => {
    const cycles = Math.floor(t / period);
    const rest = t - cycles * period;
    const onTime = on * 1e-6;
    const whole = rising(onTime) + peak * off * 1e-6 - (ripple * off * 1e-6) / 2;
    const fall = rest - onTime;
    const part =
      rest <= onTime
        ? rising(rest)
        : rising(onTime) + peak * fall - (ripple * fall * fall) / (2 * off * 1e-6);
    return cycles * whole + part;
  };
  const record = integratedCurrent(area, 40e6, 200e-6);

  it('gives them back within 0.4 % under noise of 2 mA, without bias', () => {
    const noisy = currentOf(integratedCurrent(area, 40e6, 400e-6, 2e-3));
    expect(Math.abs(figure(rippleCurrent, noisy) / ripple - 1)).toBeLessThan(4e-3);
    expect(Math.abs(figure(offTime, noisy) / (off * 1e-6) - 1)).toBeLessThan(4e-3);
    expect(Math.abs(figure(switchingFrequency, noisy) / (kilohertz * 1e3) - 1)).toBeLessThan(1e-3);
  });

  it('gives back the design figures within 0.05 %', () => {
    const close = (value: number, expected: number) =>
      expect(Math.abs(value / expected - 1)).toBeLessThan(5e-4);
    close(figure(rippleCurrent, currentOf(record)), ripple);
    close(figure(offTime, currentOf(record)), off * 1e-6);
    close(figure(switchingFrequency, currentOf(record)), kilohertz * 1e3);
    close(figure(meanCurrent, currentOf(record, { while: 'on' })), mean);
    close(figure(peakCurrent, currentOf(record)), peak);
  });
});
