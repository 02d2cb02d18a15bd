import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import { boundedRecord } from '../../../harness/run/take/record-bounds.ts';
import { TakenRecords } from '../../../harness/run/take/taken-records.ts';

/** A record of 1 s. */
const record = (more: Partial<RawCapture> = {}): RawCapture => ({
  ...{ input: 'a', codes: Int16Array.from({ length: 1000 }, (_, k) => (k * 37) % 11), rate: 1000 },
  ...{ scale: 1, offset: 0, unit: 'V', lowest: -100, highest: 100, start: 10 },
  ...more,
});
const seen = { called: 10, armed: 10.004, finished: 11.01, duration: 1 };

describe('a record as far as its start is borne out', () => {
  it('begins between the order and the answer to it, where it came promptly', () => {
    const { start, standardStart } = boundedRecord(record(), 'scope', seen);
    expect(start).toBeCloseTo(10.002, 9);
    // A rectangle of 4 ms: a / √3 with a = 2 ms (JCGM 100:2008, 4.3.7).
    expect(standardStart).toBeCloseTo(2e-3 / Math.sqrt(3), 9);
  });

  it('begins anywhere before its length ahead of the hand-over, where that took long', () => {
    const { start, standardStart } = boundedRecord(record(), 'scope', { ...seen, finished: 11.3 });
    expect(start).toBeCloseTo(10.15, 9);
    expect(standardStart).toBeCloseTo(0.15 / Math.sqrt(3), 9);
  });

  it('is taken as its driver states it, where that can be true', () => {
    const stated = record({ start: 10.2, standardStart: 1e-3 });
    expect(boundedRecord(stated, 'scope', { ...seen, finished: 11.3 })).toBe(stated);
  });

  it.each([
    ['began after it can have', record({ start: 10.2, standardStart: 1e-3 }), seen, 'late'],
    ['began before it was armed', record({ start: 9.9, standardStart: 1e-3 }), seen, 'late'],
    ['came before it can have lasted', record(), { ...seen, finished: 10.5 }, 'stale'],
    ['is shorter than it was armed', record({ rate: 2000 }), seen, 'stale'],
    ['is longer than it was armed', record({ rate: 500 }), seen, 'stale'],
  ])('is an error where it %s', (_, raw, when, kind) => {
    expect(() => boundedRecord(raw, 'scope', when)).toThrow(expect.objectContaining({ kind }));
  });
});

describe('records that come again', () => {
  it('are told by instrument and every code, of whatever input', () => {
    const taken = new TakenRecords();
    expect(taken.isRepeated('scope', record())).toBe(false);
    expect(taken.isRepeated('other', record())).toBe(false);
    expect(taken.isRepeated('scope', record({ input: 'b' }))).toBe(true);
    const changed = record();
    changed.codes[999] = 99;
    expect(taken.isRepeated('scope', changed)).toBe(false);
    expect(taken.isRepeated('scope', record())).toBe(true);
  });

  it('of an input that hardly changes may be the same twice', () => {
    const taken = new TakenRecords();
    const pin = record({ codes: Int16Array.from({ length: 1000 }, (_, k) => (k > 500 ? 1 : 0)) });
    expect(taken.isRepeated('scope', pin)).toBe(false);
    expect(taken.isRepeated('scope', pin)).toBe(false);
  });
});
