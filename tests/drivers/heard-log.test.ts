import { describe, expect, it } from 'vitest';
import { HeardLog } from '../../drivers/heard-log.ts';
import type { Heard } from '../../harness/bench/heard.ts';

const frame = (at: number, level = 0, startCode = 0): Heard => {
  return { kind: 'dmx', at, startCode, slots: [level, 0] };
};

function logOf(...events: readonly Heard[]): HeardLog {
  const log = new HeardLog();
  for (const event of events) log.tell(event);
  return log;
}

/** Frames 25 ms apart. */
const stream = (from: number, count: number, level = 0): readonly Heard[] =>
  Array.from({ length: count }, (_, k) => frame(from + k * 0.025, level));

describe('the log of what was sent', () => {
  it('keeps the first and the last of a stream that repeats itself', () => {
    const log = logOf(...stream(1, 40), ...stream(2, 40, 9));
    expect(log.until(3)).toEqual([frame(1), frame(1 + 39 * 0.025), frame(2, 9), frame(2.975, 9)]);
  });

  it('keeps repeats on either side of something else', () => {
    const line: Heard = { kind: 'console', at: 1.08, line: 'off' };
    const log = logOf(...stream(1, 4), line, ...stream(1.1, 4));
    expect(log.until(1.3)?.map(({ kind }) => kind)).toEqual([
      'dmx',
      'dmx',
      'console',
      'dmx',
      'dmx',
    ]);
  });

  it('says that a stream stopped when it pauses, and at its end', () => {
    const log = logOf(frame(1), frame(1.025), frame(2));
    const told = log.until(2.4) ?? [];
    expect(told).toEqual([frame(1), frame(1.025), { kind: 'dmx-stops', at: 1.025 }, frame(2)]);
    expect(log.until(2.6)?.at(-1)).toEqual({ kind: 'dmx-stops', at: 2 });
  });

  it('does not take frames of another start code for the stream', () => {
    const log = logOf(frame(1), frame(1.6, 0, 0xcc), frame(1.7));
    expect(log.until(1.8)?.map(({ kind }) => kind)).toContain('dmx-stops');
  });

  it('says twice that a signal stops where bytes without a break come after its last frame', () => {
    const bytes: Heard = { kind: 'dmx', at: 1.3, startCode: 0, slots: [7], unframed: true };
    const log = logOf(frame(1), bytes);
    const stop = (at: number): Heard => ({ kind: 'dmx-stops', at });
    expect(log.until(3)).toEqual([frame(1), stop(1), bytes, stop(1.3)]);
    const on = logOf(frame(1), bytes, frame(1.4));
    expect(on.until(3)).toEqual([frame(1), bytes, frame(1.4), stop(1.4)]);
  });

  it('tells in order of time, and nothing that is still on its way', () => {
    const late: Heard = { kind: 'supply', at: 5, volts: 0 };
    const log = logOf(late, { kind: 'reset', at: 1 }, frame(3));
    expect(log.until(4)?.map(({ kind }) => kind)).toEqual(['reset', 'dmx', 'dmx-stops']);
  });

  it('says that it knows nothing where it was too much', () => {
    const log = new HeardLog();
    for (let k = 0; k < 100_000; k++) log.tell({ kind: 'reset', at: k });
    expect(log.until(Number.POSITIVE_INFINITY)).toBeNull();
  });
});
