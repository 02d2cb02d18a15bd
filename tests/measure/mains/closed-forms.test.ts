import { describe, expect, it } from 'vitest';
import { quietNoise } from '../../../harness/measure/analysis/noise.ts';
import { classCLimit } from '../../../harness/measure/features/mains/class-c-limits.ts';
import { harmonicNotes, harmonics } from '../../../harness/measure/features/mains/harmonics.ts';
import {
  attenuation,
  spuriousCurrent,
  windowDoubt,
} from '../../../harness/measure/features/mains/mains-doubt.ts';
import {
  forEachCovered,
  wholePeriods,
} from '../../../harness/measure/features/mains/whole-periods.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { displacementFactor } from '../../../harness/measure/metrics/mains/displacement-factor.ts';
import { harmonicRatio } from '../../../harness/measure/metrics/mains/harmonic-ratio.ts';
import { inputPower } from '../../../harness/measure/metrics/mains/input-power.ts';
import { inrushCurrent } from '../../../harness/measure/metrics/mains/inrush-current.ts';
import { powerFactor } from '../../../harness/measure/metrics/mains/power-factor.ts';
import { thdCurrent } from '../../../harness/measure/metrics/mains/thd-current.ts';
import type { Measured, NotMeasurable } from '../../../harness/measure/outcome.ts';
import { largestAmongNoise } from '../../../harness/measure/signal/largest-among-noise.ts';
import type { Signal } from '../../../harness/measure/signals.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { deviates, observing } from '../light-of.ts';
import { recorded } from '../recorded.ts';
import { wellFormed } from '../well-formed.ts';

const rate = 20_000;
const coarse = 10_000;

function wave(at: (t: number) => number, seconds = 0.25, rest: Partial<Waveform> = {}): Waveform {
  const { rate: own = rate, start = 0 } = rest;
  const samples = Float64Array.from({ length: Math.round(own * seconds) }, (_, k) =>
    at(start + (k + 0.5) / own),
  );
  return { samples, rate: own, start, unit: 'A', clipped: 0, ...rest };
}

const turn = (order: number, t: number) => 2 * Math.PI * 50 * order * t;
const volts = wave((t) => 230 * Math.SQRT2 * Math.sin(turn(1, t) + 0.4));

type Waveforms = Partial<Record<Signal, Waveform>>;

function observed(metric: Metric, waveforms: Waveforms) {
  const [first] = Object.values(waveforms);
  if (!first) throw new Error('no waveform');
  const records = Object.entries(waveforms).map(([signal, waveform]) =>
    recorded(signal as Signal, signal, waveform),
  );
  return { ...observing(metric, first), of: 'lamp', records };
}

function found(metric: Metric, waveforms: Waveforms): Measured {
  const outcome = wellFormed(metric, observed(metric, waveforms));
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

function refused(metric: Metric, waveforms: Waveforms): NotMeasurable {
  const outcome = wellFormed(metric, observed(metric, waveforms));
  if (outcome.measured) throw new Error(`measured: ${outcome.value}`);
  return outcome;
}

const standardOf = ({ contributions }: Measured, name: string) =>
  contributions.find((one) => one.name === name)?.standard ?? Number.NaN;

describe('whole periods', () => {
  it('lie between the first and the last rising pass of zero (closed form)', () => {
    const { from, to, count, frequency } = wholePeriods(volts) ?? {
      ...{ from: 0, to: 0, count: 0, frequency: 0 },
    };
    // sin(2π 50 t + 0.4) rises through zero at t = k/50 - 0.4/(2π 50).
    const before = 0.4 / (2 * Math.PI * 50);
    expect(from).toBeCloseTo(0.02 - before, 6);
    expect(to).toBeCloseTo(0.24 - before, 6);
    expect(count).toBe(11);
    expect(frequency).toBeCloseTo(50, 4);
  });

  it('are none of a dead record, nor of one pass', () => {
    expect(wholePeriods(wave(() => 0))).toBeNull();
    expect(wholePeriods(wave((t) => Math.sin(turn(1, t) - 1), 0.02))).toBeNull();
  });

  it('are not cut by ripple about zero of less than a fifth of the largest value', () => {
    const rippled = (size: number) =>
      wholePeriods(wave((t) => 50 * (Math.sin(turn(1, t) + 0.4) - size * Math.sin(turn(31, t)))))
        ?.count;
    expect(rippled(0.15)).toBe(11);
    expect(rippled(0.4)).toBeGreaterThan(11);
  });
});

describe('the samples that an interval covers', () => {
  const visits = (from: number, to: number) => {
    const seen: [number, number][] = [];
    forEachCovered(
      wave(() => 1, 0.001, { start: 1, rate: coarse }),
      { from: 1 + from / coarse, to: 1 + to / coarse },
      (index, weight) => seen.push([index, Number(weight.toFixed(6))]),
    );
    return seen;
  };

  it('have the part of them that it covers as their weight', () => {
    expect(visits(2.25, 5.5)).toEqual([
      [2, 0.75],
      [3, 1],
      [4, 1],
      [5, 0.5],
    ]);
    expect(visits(3.2, 3.6)).toEqual([[3, 0.4]]);
  });

  it('end where the record ends', () => {
    expect(visits(-3, 1.5)).toEqual([
      [0, 1],
      [1, 0.5],
    ]);
    expect(visits(8.5, 14)).toEqual([
      [8, 0.5],
      [9, 1],
    ]);
    expect(visits(4, 4)).toEqual([]);
  });
});

describe('harmonics', () => {
  const current = wave(
    (t) =>
      0.2 +
      3 * Math.sin(turn(1, t)) +
      0.6 * Math.sin(turn(3, t) + 0.7) +
      0.1 * Math.cos(turn(40, t)),
  );
  const periods = { from: 0.02, to: 0.22, count: 10, frequency: 50 };

  it('are those that went in, rms and phase, to the 40th', () => {
    const { fundamental, byOrder } = harmonics(current, periods);
    const rms = (order: number) => byOrder[order]?.rms;
    expect(byOrder).toHaveLength(41);
    expect(byOrder[1]).toEqual(fundamental);
    expect(fundamental.rms).toBeCloseTo(3 / Math.SQRT2, 9);
    expect(fundamental.phase).toBeCloseTo(0, 9);
    expect(rms(0)).toBeCloseTo(0.2, 9);
    expect(byOrder[0]?.phase).toBe(0);
    expect(rms(2)).toBeCloseTo(0, 9);
    expect(rms(3)).toBeCloseTo(0.6 / Math.SQRT2, 9);
    expect(byOrder[3]?.phase).toBeCloseTo(0.7, 9);
    expect(rms(40)).toBeCloseTo(0.1 / Math.SQRT2, 9);
    expect(byOrder[40]?.phase).toBeCloseTo(Math.PI / 2, 9);
  });

  it('have their phase against the start of the periods', () => {
    const { fundamental } = harmonics(current, { ...periods, from: 0.025, to: 0.225 });
    expect(fundamental.phase).toBeCloseTo(Math.PI / 2, 9);
  });

  it('are noted where they are odd, as parts of the fundamental', () => {
    const notes = harmonicNotes(harmonics(current, periods));
    expect(Object.keys(notes)).toEqual(
      Array.from({ length: 20 }, (_, k) => `harmonic-${2 * k + 1}`),
    );
    expect(notes['harmonic-1']).toBe(1);
    expect(notes['harmonic-3']).toBeCloseTo(0.2, 9);
  });
});

describe('limits of class C', () => {
  it('are those of table 2, and none for other orders', () => {
    const limits = Array.from({ length: 43 }, (_, order) => classCLimit(order, 0.9));
    const expected = new Map([
      [2, 0.02],
      [3, 0.27],
      [5, 0.1],
      [7, 0.07],
      [9, 0.05],
    ]);
    for (let order = 11; order < 40; order += 2) expected.set(order, 0.03);
    limits.forEach((limit, order) => {
      const own = expected.get(order);
      expect(limit, `order ${order}`).toEqual(own === undefined ? null : expect.closeTo(own, 12));
    });
  });
});

describe('doubts of a mains record', () => {
  it('averaging over a sample takes sinc of a frequency, a pole of the sensor 1/√(1 + (f/B)²)', () => {
    const plain = wave(() => 0, 0.25, { rate: coarse });
    const angle = Math.PI * 0.2;
    expect(attenuation(plain, 2000)).toBeCloseTo(angle / Math.sin(angle), 12);
    expect(attenuation(plain, 10_000)).toBe(1);
    expect(attenuation({ ...plain, bandwidth: 1000 }, 1000)).toBeCloseTo(
      (Math.SQRT2 * (Math.PI * 0.1)) / Math.sin(Math.PI * 0.1),
      12,
    );
  });

  it('the choice of the periods changes a figure by at most what one fewer does, at either end', () => {
    const periods = { from: 1, to: 3, count: 4, frequency: 2 };
    const record = { current: volts, voltage: null, periods };
    const start = windowDoubt(record, ({ periods: own }) => own.from);
    expect(start).toEqual({ name: 'choice of the periods', standard: 0.5 });
    expect(windowDoubt(record, ({ periods: own }) => own.to).standard).toBe(0.5);
    expect(windowDoubt(record, ({ periods: own }) => own.to - own.from).standard).toBe(0.5);
    expect(windowDoubt(record, ({ periods: own }) => own.count).standard).toBe(1);
    expect(windowDoubt(record, ({ periods: own }) => own.frequency).standard).toBe(0);
    expect(windowDoubt(record, () => Number.NaN).standard).toBe(0);
    const asked: unknown[] = [];
    windowDoubt(record, ({ periods: own }) => asked.push(own));
    expect(asked).toEqual([
      periods,
      { from: 1.5, to: 3, count: 3, frequency: 2 },
      { from: 1, to: 2.5, count: 3, frequency: 2 },
    ]);
    const two = { ...record, periods: { ...periods, count: 2 } };
    expect(windowDoubt(two, ({ periods: own }) => own.to).standard).toBe(0.5);
    const one = { ...record, periods: { ...periods, count: 1 } };
    expect(windowDoubt(one, () => asked.push('once')).standard).toBe(0);
    expect(asked.slice(3)).toEqual(['once']);
    expect(windowDoubt(one, ({ periods: own }) => own.to).standard).toBe(0);
  });

  it('a current may hold what noise makes of it: 95 % of a Rayleigh amplitude, of 39 together', () => {
    const sigma = 0.01;
    const noisy = wave(
      (t) =>
        Math.sin(turn(1, t)) +
        sigma * Math.sqrt(12) * ((((((t * rate) ** 2) | 0) * 0.6180339887) % 1) - 0.5),
    );
    const periods = { from: 0, to: 0.24, count: 12, frequency: 50 };
    const { single, together } = spuriousCurrent(noisy, periods);
    const mean = sigma / Math.sqrt(noisy.samples.length);
    expect(single / (Math.sqrt(-2 * Math.log(0.05)) * mean)).toBeGreaterThan(0.7);
    expect(single / (Math.sqrt(-2 * Math.log(0.05)) * mean)).toBeLessThan(1.4);
    expect(together / single).toBeCloseTo(
      (1.13 * Math.sqrt(78)) / Math.sqrt(-2 * Math.log(0.05)),
      6,
    );
  });

  it('noise is what the quieter of two looks at the record shows, and rounding that it spreads is none', () => {
    const periods = { from: 0, to: 0.24, count: 12, frequency: 50 };
    const white = (1.13 * Math.sqrt(78)) / Math.sqrt(-2 * Math.log(0.05));
    const uneven = (k: number) => ((k * k * 0.7548776662 + k * 0.6180339887) % 1) - 0.5;
    // A pulse train for two thirds of the time leaves the rest quiet.
    const busy = wave((t) => (t < 0.16 ? uneven(Math.round(t * rate)) : 0), 0.24);
    expect(spuriousCurrent(busy, periods)).toEqual({ single: 0, together: 0 });
    for (const [size, isWhite] of [
      [4, true],
      [0.1, false],
    ] as const) {
      const step = 0.01;
      const noisy = wave(
        (t) =>
          step *
          Math.round((0.3 * Math.sin(turn(1, t))) / step + size * uneven(Math.round(t * rate))),
        0.24,
        { step },
      );
      const { single, together } = spuriousCurrent(noisy, periods);
      expect(Math.abs(together / single / white - 1) < 1e-9).toBe(isWhite);
    }
  });

  it('a current in coarse codes may hold a square wave of half a code, or all of its rounding', () => {
    const step = 0.5;
    const rounded = wave((t) => step * Math.round(Math.sin(turn(1, t)) / step), 0.24, { step });
    const periods = { from: 0, to: 0.24, count: 12, frequency: 50 };
    const { single, together } = spuriousCurrent(rounded, periods);
    // Eight changes of the code in each period.
    const rounding = Math.sqrt(-2 * Math.log(0.05)) * (step / Math.sqrt(12)) * Math.sqrt(1 / 8);
    expect(single).toBeCloseTo(Math.min(rounding, (Math.SQRT2 / Math.PI) * step), 2);
    expect(together).toBeCloseTo(step / Math.sqrt(12), 2);
    const still = wave(() => 0.1, 0.24, { step });
    expect(spuriousCurrent(still, periods).single).toBeCloseTo((Math.SQRT2 / Math.PI) * step, 6);
  });
});

describe('figures of a current with a third harmonic', () => {
  const amps = wave((t) => 2 * Math.sin(turn(1, t) + 0.1) + 0.5 * Math.sin(turn(3, t)));
  const both = { 'mains-voltage': volts, 'mains-current': amps };
  const active = 230 * (2 / Math.SQRT2) * Math.cos(0.3);
  const rms = Math.hypot(2, 0.5) / Math.SQRT2;

  it('are shown beside the power factor', () => {
    const { value, evidence } = found(powerFactor, both);
    expect(value).toBeCloseTo(active / 230 / rms, 4);
    expect(evidence.notes).toEqual({
      'active-power': expect.closeTo(active, 1),
      'voltage-rms': expect.closeTo(230, 1),
      'current-rms': expect.closeTo(rms, 3),
    });
    expect(evidence.charts).toHaveLength(1);
  });

  it('are shown beside the input power', () => {
    const { value, floor = 0, evidence } = found(inputPower, both);
    expect(value).toBeCloseTo(active, 1);
    expect(floor).toBeCloseTo(active, 1);
    expect(evidence).toEqual({
      charts: [],
      notes: { 'voltage-rms': expect.closeTo(230, 1), 'current-rms': expect.closeTo(rms, 3) },
    });
  });

  it('are shown beside the displacement factor: the angle', () => {
    const { value, evidence } = found(displacementFactor, both);
    expect(value).toBeCloseTo(Math.cos(0.3), 6);
    expect(evidence.notes).toEqual({ angle: expect.closeTo(0.3, 4) });
    expect(evidence.charts).toHaveLength(1);
  });

  it('are shown beside the distortion', () => {
    const { value, evidence } = found(thdCurrent, both);
    expect(value).toBeCloseTo(0.25, 4);
    expect(evidence.notes).toMatchObject({
      'mains-frequency': expect.closeTo(50, 3),
      'harmonic-3': expect.closeTo(0.25, 4),
    });
    expect(evidence.charts).toHaveLength(1);
  });

  it('are shown beside the worst harmonic, with the limits drawn', () => {
    const { value, evidence } = found(harmonicRatio, both);
    const factor = active / 230 / rms;
    expect(value).toBeCloseTo(0.25 / (0.3 * factor), 3);
    expect(evidence.notes).toMatchObject({
      'worst-order': 3,
      'power-factor': expect.closeTo(factor, 4),
      'active-power': expect.closeTo(active, 1),
      'harmonic-3': expect.closeTo(0.25, 4),
    });
    const [chart] = evidence.charts;
    expect(evidence.charts).toHaveLength(2);
    expect(chart).toMatchObject({
      kind: 'spectrum',
      x: { label: 'order', unit: '1', scale: 'linear' },
      y: { unit: '1', scale: 'linear' },
      marks: [],
    });
    const orders = [2, ...Array.from({ length: 19 }, (_, k) => 2 * k + 3)];
    expect(chart?.lines.map(({ role }) => role)).toEqual(['measured', 'limit']);
    for (const line of chart?.lines ?? []) expect(line.x).toEqual(orders);
    expect(chart?.lines[0]?.y[1]).toBeCloseTo(0.25, 4);
    expect(chart?.lines[1]?.y.slice(0, 6)).toEqual([
      ...[0.02, expect.closeTo(0.3 * factor, 4), 0.1],
      ...[0.07, 0.05, 0.03],
    ]);
  });

  describe('doubt what averaging over a sample takes, so that twice the doubt holds all of it', () => {
    const [first, third] = [attenuation(amps, 50), attenuation(amps, 150)];
    const factor = active / 230 / rms;
    const distorted = 0.25 * (third / first - 1);
    const wholeRms = Math.hypot(rms, Math.sqrt((0.5 ** 2 / 2) * (third ** 2 - 1)));
    it.each([
      ['distortion', thdCurrent, distorted],
      ['worst harmonic', harmonicRatio, distorted / (0.3 * factor)],
      ['input power', inputPower, active * (first ** 2 - 1)],
      ['power factor', powerFactor, factor * (1 - rms / wholeRms)],
    ] as const)('%s', (_, metric, taken) => {
      const part = standardOf(found(metric, both), 'averaging over a sample') / taken;
      expect(part).toBeGreaterThan(0.8);
      expect(part).toBeLessThan(0.9);
    });
  });

  it.each([thdCurrent, displacementFactor, powerFactor, harmonicRatio, inputPower])(
    'doubt the choice of the periods where the current changes: $id',
    (metric) => {
      const growing = wave(
        (t) => (1 + t) * Math.sin(turn(1, t) + 0.4 + t) + 0.5 * t * Math.sin(turn(3, t)),
      );
      const waveforms = { 'mains-voltage': volts, 'mains-current': growing };
      const outcome = metric.compute(observed(metric, waveforms), { evidence: false });
      if (!outcome.measured) throw new Error(outcome.reason);
      expect(standardOf(outcome, 'choice of the periods')).toBeGreaterThan(1e-4);
    },
  );
});

describe('the floor of a current in coarse codes', () => {
  const step = 0.25;
  const amps = wave((t) => step * Math.round((2 * Math.sin(turn(1, t) + 0.4)) / step), 0.24, {
    step,
  });
  const both = { 'mains-voltage': volts, 'mains-current': amps };
  const hidden = () => {
    const periods = wholePeriods(amps);
    if (!periods) throw new Error('no periods');
    return spuriousCurrent(amps, periods);
  };
  const first = 2 / Math.SQRT2;

  it('is what the codes may hold of all harmonics, for the distortion', () => {
    const { floor = 0 } = thdCurrent.compute(observed(thdCurrent, both), {
      evidence: false,
    }) as Measured;
    expect(floor / (hidden().together / first)).toBeCloseTo(1, 1);
  });

  it('is what they may hold of one, against the lowest limit of 2 %, for the worst harmonic', () => {
    const { floor = 0 } = harmonicRatio.compute(observed(harmonicRatio, both), {
      evidence: false,
    }) as Measured;
    expect(floor / (hidden().single / first / 0.02)).toBeCloseTo(1, 1);
  });
});

describe('the power of a supply', () => {
  const direct = wave(() => 48);
  const supply = (amps: Waveform, voltage = direct) => ({
    'supply-voltage': voltage,
    'supply-current': amps,
  });

  it('is told where the mains are not recorded at all, and not where they are unsound', () => {
    const amps = wave(() => 0.5);
    expect(found(inputPower, supply(amps))).toMatchObject({
      value: expect.closeTo(24, 9),
      floor: expect.closeTo(24, 9),
      contributions: [],
      evidence: {
        notes: { 'voltage-rms': expect.closeTo(48, 9), 'current-rms': expect.closeTo(0.5, 9) },
      },
    });
    const clipped = { ...volts, clipped: 3 };
    expect(refused(inputPower, { ...supply(amps), 'mains-current': clipped }).reason).toBe(
      'saturated',
    );
    expect(refused(inputPower, { 'supply-current': amps })).toMatchObject({
      reason: 'no-record',
      note: 'no supply-voltage, nor the mains',
    });
  });

  it('may hide half a code in phase with the voltage, where noise does not spread the rounding', () => {
    const step = 0.01;
    const hidden = (amps: Waveform, voltage = direct) => {
      const { value, floor = 0 } = found(inputPower, supply(amps, voltage));
      return floor - value;
    };
    expect(hidden(wave(() => 0.5, 0.25, { step }))).toBeCloseTo(48 * 0.005, 9);
    // Mean size of a voltage that turns: 2/π of its peak, over 12.5 periods.
    const turned = wave((t) => 48 * Math.sin(turn(1, t)), 0.25);
    expect(
      hidden(
        wave(() => 0.5, 0.25, { step }),
        turned,
      ),
    ).toBeCloseTo(((2 * 48) / Math.PI) * 0.005, 2);
    const noise = (k: number) =>
      0.02 * (((k * 0.6180339887) % 1) - 0.5) + 0.02 * ((k * k * 0.7548776662) % 1);
    const spread = wave((t) => 0.5 + noise(Math.round(t * rate)), 0.25, { step });
    expect(hidden(spread)).toBe(0);
  });

  it('is that of the samples that both have', () => {
    const short = wave((t) => (t < 0.21 ? 48 : 0), 0.24);
    const amps = wave((t) => (t < 0.21 ? 1 : 3), 0.25);
    const both = { 'supply-current': amps, 'supply-voltage': short };
    expect(found(inputPower, both).value).toBeCloseTo((48 * 0.21) / 0.24, 6);
  });

  it('were sampled together, whenever they began', () => {
    const later = wave(() => 48, 0.25, { start: 3 });
    const amps = wave(() => 1, 0.25, { start: 3 });
    expect(found(inputPower, supply(amps, later)).value).toBeCloseTo(48, 9);
    const apart = { reason: 'no-record', note: 'voltage and current were not sampled together' };
    const shifted = { ...amps, start: 3 + 0.02 / rate };
    expect(refused(inputPower, supply(shifted, later))).toMatchObject(apart);
  });
});

describe('records that say too little', () => {
  const amps = wave((t) => 2 * Math.sin(turn(1, t)));

  it.each([displacementFactor, powerFactor, harmonicRatio, inputPower])(
    'have a reason in words without a voltage: $id',
    (metric) => {
      const voltage = { reason: 'no-record', note: 'no mains-voltage' };
      expect(refused(metric, { 'mains-current': amps })).toMatchObject(voltage);
    },
  );

  it.each([thdCurrent, displacementFactor, powerFactor, harmonicRatio])(
    'have a reason in words without a current: $id',
    (metric) => {
      const current = { reason: 'no-record', note: 'no mains-current' };
      expect(refused(metric, { 'mains-voltage': volts })).toMatchObject(current);
      const dead = { 'mains-voltage': volts, 'mains-current': wave(() => 0) };
      expect(refused(metric, dead)).toMatchObject({ reason: 'dark', note: 'no mains current' });
    },
  );

  it('have a reason in words where they do not alternate as the mains do, or too weakly', () => {
    const fast = wave((t) => Math.sin(2 * turn(1, t)));
    expect(refused(thdCurrent, { 'mains-current': fast })).toMatchObject({
      reason: 'no-periodicity',
      found: expect.closeTo(100, 2),
      needed: 50,
      unit: 'Hz',
      note: 'mains frequency',
    });
    expect(refused(thdCurrent, { 'mains-current': wave(() => 1) })).toMatchObject({ found: 0 });
    const turning = (hertz: number) => ({
      'mains-current': wave((t) => Math.sin(2 * Math.PI * hertz * t)),
    });
    for (const hertz of [42, 68])
      expect(found(thdCurrent, turning(hertz)).value).toBeLessThan(0.01);
    for (const hertz of [38, 72])
      expect(refused(thdCurrent, turning(hertz))).toMatchObject({ reason: 'no-periodicity' });
    const clipped = { 'mains-voltage': { ...volts, clipped: 2 }, 'mains-current': amps };
    expect(refused(thdCurrent, clipped)).toMatchObject({
      reason: 'saturated',
      note: 'mains-voltage',
    });
    const small = {
      'mains-voltage': volts,
      'mains-current': wave((t) => 0.1 * Math.sin(turn(1, t) + 0.4)),
    };
    expect(refused(harmonicRatio, small)).toMatchObject({
      reason: 'out-of-domain',
      found: expect.closeTo(23 / Math.SQRT2, 2),
      needed: 25,
      unit: 'W',
      note: 'active power',
    });
  });

  it('were sampled together to a hundredth of a sample', () => {
    const shifted = (samples: number) => ({
      'mains-voltage': volts,
      'mains-current': { ...amps, start: samples / rate },
    });
    expect(found(powerFactor, shifted(0.005)).value).toBeCloseTo(Math.cos(0.4), 3);
    const apart = { reason: 'no-record', note: 'voltage and current were not sampled together' };
    const [later, earlier] = [
      { ...volts, start: 3 },
      { ...amps, start: 3 },
    ];
    const both = { 'mains-voltage': later, 'mains-current': earlier };
    expect(found(powerFactor, both).value).toBeCloseTo(Math.cos(0.4), 3);
    const twice = wave((t) => 2 * Math.sin(turn(1, t)), 0.25, { rate: 40_000 });
    expect(refused(powerFactor, { 'mains-voltage': volts, 'mains-current': twice })).toMatchObject(
      apart,
    );
    expect(refused(powerFactor, shifted(0.02))).toMatchObject(apart);
    expect(refused(powerFactor, shifted(-0.02))).toMatchObject(apart);
    const other = {
      'supply-voltage': wave(() => 48),
      'supply-current': wave(() => 1, 0.25, { rate: 40_000 }),
    };
    expect(refused(inputPower, other)).toMatchObject(apart);
    expect(refused(inputPower, { 'supply-voltage': wave(() => 48) })).toMatchObject({
      reason: 'no-record',
      note: 'no supply-current, nor the mains',
    });
    const off = { 'supply-voltage': wave(() => 0), 'supply-current': wave(() => 1) };
    expect(refused(inputPower, off)).toMatchObject({
      reason: 'out-of-domain',
      note: 'the supply is off',
    });
  });
});

describe('an inrush', () => {
  const inrushRate = 20_000;
  const surge = (size: number, at = 0.02) =>
    wave((t) => (t < at ? 0 : size * Math.exp(-(t - at) / 0.005)), 0.08, { rate: inrushRate });

  it('has its peak in the middle of the highest sample, either way', () => {
    for (const size of [8, -8]) {
      const { value, evidence, contributions } = found(inrushCurrent, {
        'supply-current': surge(size),
      });
      const first = 8 * Math.exp(-0.5 / inrushRate / 0.005);
      expect(value).toBeCloseTo(first, 9);
      // Above half for τ ln 2; the integral of the square is I²τ/2 (closed form).
      expect(evidence.notes).toEqual({
        at: expect.closeTo(0.02 + 0.5 / inrushRate, 9),
        'duration-above-half': expect.closeTo(0.005 * Math.LN2, 4),
        'integral-of-the-square': expect.closeTo((64 * 0.005) / 2, 3),
      });
      const [current, peak] = evidence.charts[0]?.lines ?? [];
      expect(evidence.charts).toHaveLength(1);
      expect(peak?.name).toBe('peak');
      expect(peak?.y[0]).toBeCloseTo((size * first) / 8, 9);
      // From 10 ms before the peak to 50 ms behind it.
      expect(current?.x[0]).toBeCloseTo(0.01, 3);
      expect(current?.x.at(-1)).toBeCloseTo(0.07, 3);
      expect(contributions).toEqual([
        { name: 'noise of the highest sample', standard: expect.any(Number), isNoise: true },
        { name: 'before the highest sample', standard: expect.any(Number) },
      ]);
    }
  });

  it('reaches to the ends of the record where it is above half there', () => {
    const flat = wave(() => 3, 0.01, { rate: inrushRate });
    expect(found(inrushCurrent, { 'supply-current': flat }).evidence.notes).toMatchObject({
      'duration-above-half': expect.closeTo(0.01, 9),
      'integral-of-the-square': expect.closeTo(0.09, 9),
    });
  });

  it('needs eight samples', () => {
    const few = (count: number) => ({
      'supply-current': wave(() => 3, count / inrushRate, { rate: inrushRate }),
    });
    expect(found(inrushCurrent, few(8)).value).toBeCloseTo(3, 9);
    expect(refused(inrushCurrent, few(7))).toMatchObject({
      reason: 'too-short',
      found: 7 / inrushRate,
      needed: 8 / inrushRate,
      unit: 's',
    });
  });

  const ofSamples = (samples: readonly number[], noise = 0) => {
    const amps = wave(() => 0, samples.length / inrushRate, { rate: inrushRate });
    const next = deviates(3);
    const noisy = Float64Array.from(samples, (value) => value + noise * next());
    return { ...amps, samples: noisy };
  };

  it('is above half where its samples are, on either side of the highest', () => {
    const lasting = (...samples: readonly number[]) =>
      Number(
        found(inrushCurrent, { 'supply-current': ofSamples(samples) }).evidence.notes[
          'duration-above-half'
        ],
      ) * inrushRate;
    expect(lasting(0, 0, 2, 3, 4, 3, 2, 0, 0, 3)).toBeCloseTo(5, 9);
    expect(lasting(0, 0, 1.9, 3, 4, 3, 1.9, 0, 0, 3)).toBeCloseTo(3, 9);
    expect(lasting(-4, -3, -2, 1, 0, 0, 0, 0)).toBeCloseTo(3, 9);
    expect(lasting(0, 0, 0, 0, 0, 1, 3, 4)).toBeCloseTo(2, 9);
  });

  it('of several equal samples begins with the first', () => {
    const amps = ofSamples([0, 0, 4, 0, 4, 0, 0, 0]);
    expect(found(inrushCurrent, { 'supply-current': amps }).evidence.notes['at']).toBeCloseTo(
      2.5 / inrushRate,
      9,
    );
  });

  it('may have been before its highest sample, by the fall to the next one (closed form)', () => {
    const fall = Math.exp(-1 / inrushRate / 0.005);
    const {
      value,
      floor = 0,
      contributions,
    } = found(inrushCurrent, { 'supply-current': surge(8) });
    expect(floor).toBeCloseTo((value * -Math.log(fall)) / (fall * (1 - fall)), 9);
    expect(contributions[0]?.standard).toBe(0);
    // U = 0.85 of what is open.
    expect(contributions[1]?.standard).toBeCloseTo(0.425 * (floor - value), 9);
    for (const alone of [
      [0, 0, 4, 0, 0, 0, 0, 0],
      [0, 0, 0, 0, 0, 0, 1, 4],
    ])
      expect(found(inrushCurrent, { 'supply-current': ofSamples(alone) })).toMatchObject({
        value: 4,
        floor: 4,
      });
  });

  it('is no surer than the noise of its highest sample and of the next', () => {
    const exact = Array.from({ length: 600 }, (_, k) => (k < 200 ? 0 : 8 * 0.9 ** (k - 200)));
    const amps = ofSamples(exact, 0.05);
    const noise = quietNoise(amps);
    const [highest = 0, next = 0] = amps.samples.subarray(200);
    const known = largestAmongNoise(highest, noise, 600);
    const fall = (next + 2 * Math.SQRT2 * noise) / highest;
    const { value, floor = 0, contributions } = found(inrushCurrent, { 'supply-current': amps });
    expect(value).toBe(known.value);
    expect(floor).toBeCloseTo((value * -Math.log(fall)) / (fall * (1 - fall)), 9);
    expect(contributions[0]?.standard).toBe(known.standard);
    expect(contributions[1]?.standard).toBeCloseTo(0.425 * (floor - value) + 1.5 * noise, 9);
  });
});
