import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import { toWaveform } from '../../../harness/run/judge/observed-condition.ts';
import {
  type RawRecord,
  type RecordIdentity,
  rawRecord,
} from '../../../harness/run/records/raw-record.ts';

const capture = { wire: { bandwidth: 1e5 } } as RecordIdentity;

function record(codes: RawCapture['codes'], scale: number): RawRecord {
  const [lowest, highest] = [-4, 4];
  const unit = 'A';
  const raw = { input: 'a', codes, scale, offset: 1, unit, lowest, highest, rate: 10, start: 0 };
  return rawRecord(capture, raw as RawCapture);
}

describe('toWaveform', () => {
  it('tells the step of a converter that gives whole codes, and none of a record of numbers', () => {
    expect(toWaveform(record(Int16Array.of(1, 2), 0.5)).step).toBe(0.5);
    expect(toWaveform(record(Int32Array.of(1, 2), -0.5)).step).toBe(0.5);
    expect(toWaveform(record(Float32Array.of(1, 2), 0.5))).not.toHaveProperty('step');
  });

  it('keeps the range in order when the probe is the other way round', () => {
    const { range, samples, clipped } = toWaveform(record(Int16Array.of(-4, 0, 3), -0.5));
    expect(range).toEqual({ low: -1, high: 3 });
    expect([...samples]).toEqual([3, 1, -0.5]);
    expect(clipped).toBe(1);
  });
});
