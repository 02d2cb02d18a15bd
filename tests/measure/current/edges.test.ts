import { describe, expect, it } from 'vitest';
import {
  edgeDuration,
  transitions,
} from '../../../harness/measure/features/current/transitions.ts';
import { fallTime, riseTime } from '../../../harness/measure/metrics/current/edge-time.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { found, refused } from '../well-formed.ts';
import { currentOf } from './current-of.ts';

const rate = 1000;

function record(samples: readonly number[]): Waveform {
  return { samples: Float64Array.from(samples), rate, start: 0, unit: 'A', clipped: 0 };
}

const stretch = (value: number, count: number) => Array<number>(count).fill(value);

/** From one level to another in `steps` equal steps, the levels themselves left out. */
const ramp = (from: number, to: number, steps: number) =>
  Array.from({ length: steps - 1 }, (_, k) => from + ((to - from) * (k + 1)) / steps);

const square = (low: number, high: number) =>
  Array.from({ length: 8 }, () => [...stretch(low, 20), ...stretch(high, 20)]).flat();

function edgesOf(samples: readonly number[]) {
  const seen = transitions(record(samples));
  if ('measured' in seen) throw new Error(JSON.stringify(seen));
  return seen;
}

describe('levels and edges of a switched current', () => {
  it('are those of a square wave, in any size', () => {
    for (const size of [0.1, 1, 50]) {
      const { levels, edges } = edgesOf(square(0.4 * size, size));
      expect(levels.low).toBeCloseTo(0.4 * size, 6);
      expect(levels.high).toBeCloseTo(size, 6);
      expect(edges).toHaveLength(15);
      expect(edges[0]).toMatchObject({ rising: true, index: 20 });
    }
  });

  it.each([0.1, 1, 50])(
    'are none of a ripple of %f A that does not go below half of its top',
    (size) => {
      expect(transitions(record(square(0.6 * size, size)))).toEqual({
        measured: false,
        reason: 'unresolved',
        note: 'the current does not go off between its levels',
      });
    },
  );

  it('are none of a current that stands, nor of one that has no two levels', () => {
    expect(transitions(record(stretch(0.5, 300)))).toEqual({
      measured: false,
      reason: 'no-edge',
      note: 'the current stands at one level',
    });
    const scattered = Array.from({ length: 300 }, (_, k) => (k * 0.6180339887) % 1);
    expect(transitions(record(scattered))).toEqual({
      measured: false,
      reason: 'unresolved',
      note: 'no two levels stand out',
    });
  });

  it('are edges where the current goes on by a fifth of the step beyond the middle', () => {
    // From 1 A, with a middle of 0.7 A and a step of 0.6 A, down past 0.58 A or not.
    const dip = (to: number) => [
      ...square(0.4, 1),
      ...stretch(to, 5),
      ...stretch(1, 20),
      ...square(0.4, 1),
    ];
    expect(edgesOf(dip(0.5)).edges).toHaveLength(33);
    expect(edgesOf(dip(0.62)).edges).toHaveLength(31);
  });
});

describe('the duration of an edge', () => {
  const levels = { low: 0.4, high: 1.4, middle: 0.9 };
  const lasting = (samples: readonly number[], index: number, rising: boolean) =>
    (edgeDuration(record(samples), { at: index / rate, index, rising }, levels) ?? Number.NaN) *
    rate;

  it('is that between 10 % and 90 % of the step, not of zero', () => {
    const up = [0.4, 0.4, ...ramp(0.4, 1.4, 10), 1.4, 1.4];
    expect(lasting(up, 7, true)).toBeCloseTo(8, 9);
    expect(lasting(up.toReversed(), 7, false)).toBeCloseTo(8, 9);
  });

  it('is told of the very first and the very last pair of samples', () => {
    expect(lasting([0.4, 1.4], 1, true)).toBeCloseTo(0.8, 9);
    expect(lasting([1.4, 0.4], 1, false)).toBeCloseTo(0.8, 9);
    expect(lasting([0.6, 1.4], 1, true)).toBeNaN();
    expect(lasting([0.4, 1.2], 1, true)).toBeNaN();
  });
});

describe('rise and fall times', () => {
  const flanks = [4, 20, 8];
  const up = flanks.flatMap((steps) => [
    ...stretch(0.1, 30),
    ...ramp(0.1, 1.1, steps),
    ...stretch(1.1, 30),
  ]);

  it.each([
    [riseTime, up, 30],
    [fallTime, up.toReversed(), 30],
  ] as const)('are the median of several, beside the shortest and the longest (%#)', (...row) => {
    const [metric, samples] = row;
    const { value, evidence, contributions } = found(metric, currentOf(record(samples)));
    // What averaging over a sample adds is taken off: √(r² - 1.5).
    expect(value * rate).toBeCloseTo(Math.sqrt(6.4 ** 2 - 1.5), 6);
    expect(evidence.notes).toEqual({
      edges: 3,
      shortest: expect.closeTo(3.2 / rate, 9),
      longest: expect.closeTo(16 / rate, 9),
    });
    expect(contributions).toEqual([
      { name: 'sample interval', standard: expect.closeTo(1 / Math.sqrt(12) / rate, 12) },
      { name: 'noise on the edge', standard: 0 },
    ]);
  });

  it('are drawn about the first edge, five times as wide to either side, with 10 % and 90 %', () => {
    const { evidence } = found(riseTime, currentOf(record(up)));
    const [drawn, ...levels] = evidence.charts[0]?.lines ?? [];
    // Its middle is passed between samples 31 and 32; 5 · 6.4 samples on either side.
    const middle = 31.5;
    expect((drawn?.x[0] ?? 0) * rate).toBeLessThan(2);
    expect(Math.abs((drawn?.x.at(-1) ?? 0) * rate - (middle + 32))).toBeLessThan(2);
    expect(levels.map(({ name, y }) => [name, y[0]])).toEqual([
      ['10 %', expect.closeTo(0.2, 6)],
      ['90 %', expect.closeTo(1, 6)],
    ]);
  });

  it('are none where the record ends before the only edge does', () => {
    const cut = [...stretch(1, 40), ...stretch(0, 40), 0.3, 0.75];
    expect(found(fallTime, currentOf(record(cut))).measured).toBe(true);
    expect(refused(riseTime, currentOf(record(cut)))).toMatchObject({
      reason: 'no-edge',
      note: 'no rising edge',
    });
  });
});
