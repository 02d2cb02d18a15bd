import { describe, expect, it } from 'vitest';
import { signalRecord } from '../../harness/measure/analysis/signal-record.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import { levelRatio } from '../../harness/measure/metrics/level/level-ratio.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import { measured, notMeasurable } from '../../harness/measure/outcome.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { instantErrors } from '../../harness/verdict/instant-errors.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';

const rate = 10_000;

/** Full light for 1 s, then a tenth of it for 1 s: commanded at 1 s, shown `late` after it. */
function stepped(late: number, standardInstant: number, start = 0): Observation {
  const samples = Float64Array.from({ length: Math.round((2 - start) * rate) }, (_, k) =>
    start + (k + 0.5) / rate < 1 + late ? 100 : 10,
  );
  const segment = (from: number, to: number, level: number) => ({
    ...{ from, to, startLevel: level, endLevel: level },
  });
  const channel = { channel: 'light', lumen: 100, xy: [0.3, 0.3] as const, maxCurrent: 1 };
  return {
    of: 'light',
    window: { from: 1, to: 2 },
    reference: { from: 0, to: 1 },
    records: [
      signalRecord(
        { capture: 'light', signal: 'light', of: 'light' },
        { samples, rate, start, unit: 'lx', clipped: 0 },
      ),
    ],
    ...{ colour: [], frames: [], parameters: {} },
    commanded: {
      channels: [{ ...channel, segments: [segment(0, 1, 1), segment(1, 2, 0.1)] }],
      ...{ marks: [], duration: 2, curve: { kind: 'linear', bottom: 0.001 }, standardInstant },
    },
  };
}

const calibration = (standardStart?: number): InputCalibration => ({
  ...{ capture: 'light', signal: 'light', of: 'light', timeBase: 0, step: 0 },
  ...{ standardScale: 0, standardOffset: 0, noise: 0 },
  ...(standardStart !== undefined && { standardStart, sharedStart: 'scope' }),
});

const ratioOf = (observation: Observation, standardStart?: number) => {
  const assessed = assess(levelRatio, observation, [calibration(standardStart)], 2);
  if (!('expanded' in assessed)) throw new Error(JSON.stringify(assessed));
  const instants = assessed.contributions.filter(({ name }) => name === 'instant of the command');
  const instant = instants[0]?.standard ?? 0;
  return { value: assessed.outcome.value, expanded: assessed.expanded, instant };
};

describe('a window with a command at its edge', () => {
  it.each([0.02, 0.05])('holds a lateness of %d s in its uncertainty', (late) => {
    const window = { from: 1, to: 1.2 };
    const { value, instant } = ratioOf({ ...stepped(late, late / Math.sqrt(3)), window });
    // A Hann mean takes of the light before τ - sin(2πτ)/2π, τ the part of the window that it shines (closed form).
    const part = late / 0.2;
    const taken = part - Math.sin(2 * Math.PI * part) / (2 * Math.PI);
    expect(value).toBeCloseTo(0.1 + 0.9 * taken, 3);
    expect(Math.abs(value - 0.1)).toBeLessThan(2 * instant);
  });

  it('has nothing of it where the instants are known', () => {
    expect(ratioOf(stepped(0.02, 0)).expanded).toBeLessThan(0.01);
  });

  it('has nothing of it where the command is far from its edges', () => {
    const steady = {
      ...stepped(0, 1e-3),
      window: { from: 1.5, to: 2 },
      reference: { from: 0, to: 0.5 },
    };
    expect(ratioOf(steady).expanded).toBeLessThan(1e-6);
  });
});

describe('what is computed again for an instant that nobody knows', () => {
  const start = ({ records }: Observation) => measured(records[0]?.waveform.start ?? Number.NaN);
  const edges = ({ reference }: Observation) =>
    measured((reference?.from ?? 0) + 1000 * (reference?.to ?? 0));
  const found = (
    observation: Observation,
    compute: (one: Observation) => ReturnType<typeof measured> = start,
  ): Readonly<Record<string, number>> => {
    const all = instantErrors(compute(observation), observation, [], compute);
    if ('reason' in all) throw new Error(all.reason);
    return Object.fromEntries(all.map(({ name, standard }) => [name, standard]));
  };
  const near = (change: Partial<Observation>, standard = 0.01) => ({
    ...stepped(0, standard),
    ...change,
  });

  it('is moved by its standard uncertainty, both ways', () => {
    expect(found(near({}))).toEqual({ 'instant of the command': expect.closeTo(0.01, 12) });
  });

  it('is the reference window alone, where a change is near it', () => {
    const told = found(near({ reference: { from: 0, to: 0.99 } }), edges);
    expect(told).toEqual({ 'instant of the reference': expect.closeTo(10.01, 9) });
    expect(found(near({ reference: { from: 0, to: 0.9 } }), edges)).toEqual({});
  });

  it('is near within four standard uncertainties', () => {
    const away = (from: number) =>
      near({ window: { from, to: 2 }, reference: { from: 0, to: 0.5 } });
    expect(found(away(1.039))).not.toEqual({});
    expect(found(away(1.041))).toEqual({});
  });

  it('is none where the instants are known', () => {
    expect(found(near({}, 0))).toEqual({});
  });

  it('is that of a supply that the lamp may still be starting from', () => {
    const after = (standard: number, window = { from: 1.5, to: 2 }) => {
      const one = near({ window, reference: { from: 0, to: 0.3 } }, standard);
      return { ...one, commanded: { ...one.commanded, supplyChanges: [{ from: 0.9, to: 1 }] } };
    };
    const own = 0.1 / Math.sqrt(3);
    const expected = { 'instant of the command': expect.closeTo(own, 12) };
    expect(found(after(1e-4))).toEqual(expected);
    expect(found(after(0))).toEqual(expected);
    // Known less well than the supply, and far from the window.
    expect(found(after(0.1))).toEqual({});
    // It was told when the window had ended: it cannot have come earlier, but for what the clocks lack.
    expect(found(after(1e-4, { from: 0.5, to: 0.9 }))).toEqual({
      'instant of the command': expect.closeTo(1e-4, 12),
    });
  });
});

/** Refuses for the lamp's sake where the light is still up 20 ms into the window; `else`: what it says otherwise. */
const settles = (otherwise: 'value' | 'no-edge'): Metric => ({
  ...levelRatio,
  compute({ records }) {
    const [record] = records;
    const { samples, start } = record!.waveform;
    const at = Math.round((1.02 - start) * rate);
    if (samples[at]! > 50) return notMeasurable('no-plateau');
    return otherwise === 'value' ? measured(1) : notMeasurable('no-edge');
  },
});

describe('a refusal that falls on the lamp', () => {
  const reasonOf = (metric: Metric, observation: Observation, standardStart?: number) => {
    const { outcome } = assess(metric, observation, [calibration(standardStart)], 2);
    return outcome.measured ? 'value' : outcome.reason;
  };

  it('stands where the bench knows when it was', () => {
    expect(reasonOf(settles('value'), stepped(0.03, 0))).toBe('no-plateau');
    expect(reasonOf(settles('value'), stepped(0.03, 1e-3))).toBe('no-plateau');
  });

  it('is undecided where the bench may have been late by as much', () => {
    expect(reasonOf(settles('value'), stepped(0.03, 8e-3))).toBe('untimed');
  });

  it('stands where the lamp is to blame either way', () => {
    expect(reasonOf(settles('no-edge'), stepped(0.03, 8e-3))).toBe('no-plateau');
  });

  it('is the bench’s where the record does not hold the window', () => {
    const late = { ...stepped(0.03, 0, 1.01), reference: { from: 1.5, to: 2 } };
    expect(reasonOf(settles('value'), late)).toBe('too-short');
  });
});

describe('a record that may have begun after its window', () => {
  it('is too short, whatever it shows', () => {
    const late = { ...stepped(0, 0.03, 1.01), reference: { from: 1.5, to: 2 } };
    const { outcome } = assess(levelRatio, late, [calibration(0.03)], 2);
    expect(outcome).toMatchObject({ measured: false, reason: 'too-short' });
  });
});
