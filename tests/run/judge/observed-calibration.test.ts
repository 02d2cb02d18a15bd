import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import { observedCondition } from '../../../harness/run/judge/observed-condition.ts';
import { type RecordIdentity, rawRecord } from '../../../harness/run/records/raw-record.ts';
import { lamp, rigOf, wireOf } from './bench-of.ts';

describe('observedCondition', () => {
  const raw: RawCapture = {
    ...{ input: 'a', codes: Int16Array.of(1, 2), scale: -0.5, offset: 1, unit: 'A' },
    ...{ lowest: -4, highest: 4, rate: 10, start: 0.25 },
  };
  const identityOf = (wire: Wire): RecordIdentity => ({
    ...{ id: 'light-1', signal: 'light', of: 'warm', wire, taken: 'at-once', file: '1.npy' },
  });
  const of = (wire: Wire, change: Partial<RawCapture> = {}, rig = rigOf([wire])) =>
    observedCondition(
      {
        waveforms: [rawRecord(identityOf(wire), { ...raw, ...change })],
        colour: [],
        frames: [],
        commanded: { channels: [], marks: [], duration: 1, curve: lamp.curve },
      },
      { rig, lamp },
    );

  it('has each record under the identity of its capture', () => {
    const { records, selfReports } = of(wireOf());
    expect(records).toHaveLength(1);
    expect(records[0]).toMatchObject({
      ...{ capture: 'light-1', signal: 'light', of: 'warm' },
      waveform: { rate: 10, start: 0.25, unit: 'A', bandwidth: 1e5, step: 0.5, clipped: 0 },
    });
    expect(selfReports).toEqual([]);
  });

  it('knows each record as well as its wire, its instrument and its start are known', () => {
    expect(of(wireOf()).calibration).toEqual([
      {
        ...{ capture: 'light-1', signal: 'light', of: 'warm' },
        ...{ standardScale: 0.01, standardOffset: 0.02, noise: 0.03, timeBase: 5e-5, step: 0.5 },
        ...{ sharedScale: 'scope a', sharedTimeBase: 'scope' },
      },
    ]);
    const dark = { date: '', length: 10, rate: 100, noise: 2, corner: 5, drift: -3, lines: [] };
    const [full] = of(wireOf({ budget: { linearity: 0.02 }, dark }), {
      standardStart: 0.001,
    }).calibration;
    expect(full).toMatchObject({
      budget: { linearity: 0.02 },
      fullScale: 1000,
      // 2 · 2² · 5 / 100 and 3 in 10 s.
      dark: { slow: 0.4, lines: [], drift: 0.3 },
      standardStart: 0.001,
      sharedStart: 'scope at 0.250 s',
    });
  });

  it('has no step of numbers, nor a time base that nobody has calibrated', () => {
    const wire = wireOf({ instrument: 'other' });
    const [own] = of(wire, { codes: Float32Array.of(1, 2) }).calibration;
    expect(own).toMatchObject({ step: 0, timeBase: 0, sharedTimeBase: 'other' });
    const [instrument] = rigOf([]).instruments;
    const { calibration: _, ...bare } = instrument!;
    const uncalibrated = rigOf([], { instruments: [bare] });
    expect(of(wireOf(), {}, uncalibrated).calibration[0]).toMatchObject({ timeBase: 0 });
  });

  it('knows readings by the wire of their subject, or that of the one sensor', () => {
    const reading = {
      ...{ at: 0, integration: 0.1, X: 1, Y: 1, Z: 1, state: 'good' as const },
    };
    const colour = [
      { ...reading, capture: 'colour', of: 'lamp' },
      { ...reading, capture: 'colour', of: 'lamp', at: 1 },
      { ...reading, capture: 'colour-warm', of: 'warm' },
    ];
    const calibrationWith = (...wires: readonly Wire[]) =>
      observedCondition(
        {
          ...{ waveforms: [], colour, frames: [], selfReports: [] },
          commanded: { channels: [], marks: [], duration: 1, curve: lamp.curve },
        },
        { rig: rigOf(wires), lamp },
      ).calibration;
    const sensor = wireOf({ signal: 'colour', of: 'all', budget: { drift: 0.1 } });
    const own = wireOf({ signal: 'colour', of: 'warm', standardScale: 0.5 });
    const known = { signal: 'colour', of: 'lamp', standardOffset: 0.02, noise: 0.03 };
    const rest = { timeBase: 0, step: 0 };
    expect(calibrationWith(sensor, own)).toEqual([
      {
        ...{ capture: 'colour', ...known, ...rest, standardScale: 0.01 },
        ...{ budget: { drift: 0.1 }, fullScale: 1000 },
      },
      { capture: 'colour-warm', ...known, ...rest, standardScale: 0.5 },
    ]);
    expect(calibrationWith(sensor).map(({ capture }) => capture)).toEqual([
      'colour',
      'colour-warm',
    ]);
    expect(calibrationWith()).toEqual([]);
  });
});
