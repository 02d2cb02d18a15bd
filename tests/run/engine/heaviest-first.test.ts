import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import type { CaptureRequest } from '../../../harness/plan/plan.ts';
import { heaviestFirst } from '../../../harness/run/engine/heaviest-first.ts';
import type { ConditionTask } from '../../../harness/run/engine/lane.ts';

const file = 'specs/lamps/alcove-6.lamp.yaml';
const { lamp } = readLamp(readFileSync(file, 'utf8'), file) as never as { lamp: Lamp };

function job(key: string, seconds: number, captures: readonly CaptureRequest[]) {
  const condition = {
    key,
    values: {},
    stimulus: [{ verb: 'hold', time: seconds }],
    captures,
    criteria: [],
  };
  return { task: { spec: 's', condition, repeat: 0, lamp } as unknown as ConditionTask };
}
const keys = (jobs: ReturnType<typeof job>[]) =>
  heaviestFirst(jobs).map(({ task }) => task.condition.key);
const light = (rate: number): CaptureRequest => ({ signal: 'light', of: 'light', rate });

describe('heaviestFirst', () => {
  it('puts the most samples first: one channel for longer, six channels for less', () => {
    const each: CaptureRequest = { signal: 'channel-current', of: 'each-channel', rate: 10e3 };
    expect(
      keys([
        job('brief', 1, [light(20e3)]),
        job('six channels', 10, [each]),
        job('long', 40, [light(20e3)]),
      ]),
    ).toEqual(['long', 'six channels', 'brief']);
  });

  it('counts lamp time of which nothing is recorded', () => {
    expect(keys([job('none', 1, []), job('storm', 60, [])])).toEqual(['storm', 'none']);
  });

  it('leaves equals as they are', () => {
    expect(keys(['a', 'b', 'c'].map((key) => job(key, 2, [light(1e3)])))).toEqual(['a', 'b', 'c']);
  });
});
