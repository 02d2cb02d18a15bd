import { describe, expect, it } from 'vitest';
import { noteReads } from '../../../harness/measure/analysis/note-reads.ts';
import { signalRecord } from '../../../harness/measure/analysis/signal-record.ts';
import { meanCurrent } from '../../../harness/measure/metrics/current/mean-current.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { subjectRecord } from '../../../harness/measure/subject/sound-record.ts';
import { observe, steps, recordOf as waveformOf } from '../lamp-of.ts';

const segments = steps([[1, 3]]);

/** One channel, recorded in two parts of the condition. */
function twice(from: number, to: number): Observation {
  const record = (capture: string, start: number) =>
    signalRecord(
      { capture, signal: 'channel-current', of: 'warm' },
      { ...waveformOf(() => 0.5, 1, { rate: 20_000 }), start },
    );
  return observe(meanCurrent, [{ channel: 'warm', segments }], 'warm', {
    records: [record('early', 0), record('late', 2)],
    colour: [
      {
        capture: 'colour',
        at: 1,
        integration: 0.1,
        X: 1,
        Y: 1,
        Z: 1,
        state: 'good',
        of: 'lamp',
      },
    ],
    frames: [
      {
        capture: 'frame',
        at: 1,
        rows: new Float64Array(4),
        lineTime: 1,
        exposure: 1,
        saturated: false,
      },
    ],
    window: { from, to },
  });
}

describe('noteReads', () => {
  it('notes no choice between records, and no look at how they were sampled', () => {
    const { observation, read } = noteReads(twice(2.2, 2.8));
    expect(subjectRecord(observation, ['channel-current'])).toMatchObject({ capture: 'late' });
    expect(observation.colour.every(({ at, state }) => at === 1 && state === 'good')).toBe(true);
    expect(observation.frames.every(({ saturated }) => !saturated)).toBe(true);
    expect([...read]).toEqual([]);
  });

  it('notes the record of the window that a metric read, also where its result was memoised', () => {
    for (const [window, capture] of [
      [[0.2, 0.8], 'early'],
      [[2.2, 2.8], 'late'],
      [[2.2, 2.8], 'late'],
    ] as const) {
      const { observation, read } = noteReads(twice(window[0], window[1]));
      expect(meanCurrent.compute(observation).measured).toBe(true);
      expect([...read]).toEqual([capture]);
    }
    const shared = twice(2.2, 2.8);
    meanCurrent.compute(shared);
    const { observation, read } = noteReads(shared);
    meanCurrent.compute(observation);
    expect([...read]).toEqual(['late']);
  });

  it('notes no record that is refused for how it was sampled', () => {
    const { observation, read } = noteReads(twice(1.2, 1.8));
    expect(meanCurrent.compute(observation)).toMatchObject({ measured: false, reason: 'empty' });
    expect([...read]).toEqual([]);
  });

  it('notes tristimulus values and rows when they are taken', () => {
    const { observation, read } = noteReads(twice(0, 1));
    expect(observation.colour[0]?.Y).toBe(1);
    expect(observation.frames[0]?.rows.length).toBe(4);
    expect([...read]).toEqual(['colour', 'frame']);
  });
});
