import { describe, expect, it } from 'vitest';
import { classCLimit } from '../../harness/measure/features/mains/class-c-limits.ts';
import { displacementFactor } from '../../harness/measure/metrics/mains/displacement-factor.ts';
import { harmonicRatio } from '../../harness/measure/metrics/mains/harmonic-ratio.ts';
import { powerFactor } from '../../harness/measure/metrics/mains/power-factor.ts';
import { thdCurrent } from '../../harness/measure/metrics/mains/thd-current.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import { figure, reason } from '../measure/current/current-of.ts';
import { recorded } from '../measure/recorded.ts';

type Shape = (turn: number) => number;

/** Mains of 230 V and a current as a function of the phase (0..1) in A, averaged over each sample. */
function mains(
  current: Shape,
  { frequency = 50, rate = 50_000, seconds = 0.33, voltage = 230 * Math.SQRT2, phase = 0.13 } = {},
): Observation {
  const fine = 16;
  const averaged = (shape: Shape) =>
    Float64Array.from({ length: Math.round(rate * seconds) }, (_, k) => {
      let sum = 0;
      for (let part = 0; part < fine; part++) {
        const turn = frequency * ((k + (part + 0.5) / fine) / rate) + phase;
        sum += shape(turn - Math.floor(turn));
      }
      return sum / fine;
    });
  const record = (signal: 'mains-voltage' | 'mains-current', unit: string, shape: Shape) =>
    recorded(signal, signal, { samples: averaged(shape), rate, start: 0, unit, clipped: 0 });
  return {
    of: 'lamp',
    window: { from: 0, to: seconds },
    records: [
      record('mains-voltage', 'V', (turn) => voltage * Math.sin(2 * Math.PI * turn)),
      record('mains-current', 'A', current),
    ],
    colour: [],
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: seconds,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: {},
  };
}

const sine = (turn: number) => Math.sin(2 * Math.PI * turn);
const square = (turn: number) => (turn < 0.5 ? 1 : -1);

describe('a square-wave current in phase with the voltage', () => {
  const observation = mains(square);

  // Computed: sqrt(pi^2/8 - 1) over all harmonics; to the 40th as the standard counts them it is 0.4706.
  it('has a distortion of 48.343 % less the harmonics above the 40th', () => {
    let sum = 0;
    for (let order = 3; order <= 39; order += 2) sum += order ** -2;
    expect(figure(thdCurrent, observation)).toBeCloseTo(Math.sqrt(sum), 3);
    let rest = 0;
    for (let order = 41; order < 1e6; order += 2) rest += order ** -2;
    expect(Math.sqrt(sum + rest)).toBeCloseTo(0.48343, 5);
  });

  it('has a power factor of 2 sqrt(2) / pi = 0.900316 and a displacement factor of 1 (computed)', () => {
    expect(figure(powerFactor, observation)).toBeCloseTo(0.900316, 4);
    expect(figure(displacementFactor, observation)).toBeCloseTo(1, 6);
  });

  it('is worst against class C at an order where 1/h over the limit is largest (computed)', () => {
    const outcome = harmonicRatio.compute(observation);
    const pf = (2 * Math.SQRT2) / Math.PI;
    const ratios = [3, 5, 7, 9, 11].map((order) => 1 / order / classCLimit(order, pf)!);
    const worst = Math.max(...ratios);
    expect(outcome.measured && outcome.value).toBeCloseTo(worst, 2);
    expect(outcome.measured && outcome.evidence.notes['worst-order']).toBe(11);
    expect(outcome.measured && outcome.evidence.notes['harmonic-3']).toBeCloseTo(1 / 3, 3);
  });
});

describe('a sinusoidal current', () => {
  it.each([0, 0.25, 0.9, 1.4])('that lags by %f rad has its cosine as both factors', (lag) => {
    const observation = mains((turn) => sine(turn - lag / (2 * Math.PI)));
    expect(figure(powerFactor, observation)).toBeCloseTo(Math.cos(lag), 4);
    expect(figure(displacementFactor, observation)).toBeCloseTo(Math.cos(lag), 4);
    expect(figure(thdCurrent, observation)).toBeLessThan(2e-3);
  });

  it.each([
    [49.3, 50_000],
    [50, 20_000],
    [60.17, 33_333],
  ])('has no distortion at %f Hz sampled at %f Hz', (frequency, rate) => {
    expect(figure(thdCurrent, mains(sine, { frequency, rate }))).toBeLessThan(3e-3);
  });

  it('with a fifth harmonic of 10 % is on the limit of class C', () => {
    const observation = mains((turn) => sine(turn) + 0.1 * sine(5 * turn));
    expect(figure(thdCurrent, observation)).toBeCloseTo(0.1, 3);
    expect(figure(harmonicRatio, observation)).toBeCloseTo(1, 2);
    // The law: power factor = displacement factor / sqrt(1 + THD^2) on a sinusoidal supply (computed).
    expect(figure(powerFactor, observation)).toBeCloseTo(1 / Math.sqrt(1.01), 4);
  });

  it('scales without changing a ratio', () => {
    const one = mains((turn) => sine(turn) + 0.2 * sine(3 * turn));
    const two = mains((turn) => 3 * (sine(turn) + 0.2 * sine(3 * turn)));
    expect(figure(thdCurrent, one)).toBeCloseTo(figure(thdCurrent, two), 9);
    expect(figure(powerFactor, one)).toBeCloseTo(figure(powerFactor, two), 9);
  });
});

describe('the limits of class C (confirmed in a test laboratory report)', () => {
  it.each([
    [2, 0.02],
    [3, 0.27],
    [5, 0.1],
    [7, 0.07],
    [9, 0.05],
    [11, 0.03],
    [39, 0.03],
    [4, null],
    [40, null],
    [41, null],
  ])('order %i', (order, limit) => {
    const found = classCLimit(order, 0.9);
    if (limit === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(limit, 12);
  });
});

describe('records that say too little of the mains', () => {
  it('are refused with the reason', () => {
    expect(
      reason(
        thdCurrent,
        mains(() => 0),
      ),
    ).toBe('dark');
    expect(reason(thdCurrent, mains(sine, { rate: 5000 }))).toBe('too-slow');
    expect(reason(thdCurrent, mains(sine, { seconds: 0.1 }))).toBe('too-short');
    expect(reason(thdCurrent, mains(sine, { frequency: 400 }))).toBe('no-periodicity');
    expect(
      reason(
        harmonicRatio,
        mains((turn) => 0.05 * sine(turn)),
      ),
    ).toBe('out-of-domain');
    const observation = mains(sine);
    const only = { ...observation, records: observation.records.slice(1) };
    expect(reason(powerFactor, only)).toBe('no-record');
    expect(figure(thdCurrent, only)).toBeLessThan(3e-3);
    expect(reason(thdCurrent, { ...observation, records: [] })).toBe('no-record');
    expect(
      reason(
        thdCurrent,
        mains((turn) => (turn > 0.9 ? Number.NaN : 1)),
      ),
    ).toBe('not-finite');
  });
});
