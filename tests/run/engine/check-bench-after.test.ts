import { describe, expect, it } from 'vitest';
import { notChecked } from '../../../harness/record/bench-after.ts';
import { conditionId } from '../../../harness/record/ids.ts';
import type { BenchAfter, ReadingBefore } from '../../../harness/record/rig-record.ts';
import { runRecordSchema } from '../../../harness/record/run-record.ts';
import { runSpecs } from '../../../harness/run/engine/engine.ts';
import type { RunSetup } from '../../../harness/run/engine/run-setup.ts';
import type { Ending } from '../../../harness/verdict/verdict.ts';
import { plan, ScriptedLane, setup } from './scripted-lane.ts';

const good: BenchAfter = { state: 'good', at: '2026-01-01T00:00:01Z', why: null, checks: [] };
const failed = notChecked('failed', 'digitiser: no answer within 5 s');
const reading: ReadingBefore = {
  ...{ at: '2026-01-01T00:00:00Z', light: 'the lamp at full level' },
  ...{ value: 500, standard: 0.1, unit: 'lx' },
};

/** A lane that is asked what its bench is like, and answers in this order; it notes what was asked of it. */
class CheckedLane extends ScriptedLane {
  readonly told: string[] = [];
  readonly readings: (readonly ReadingBefore[])[] = [];
  gone: string | null = null;
  readonly #answers: (BenchAfter | (() => BenchAfter))[];
  constructor(answers: readonly (BenchAfter | (() => BenchAfter))[], verdict: Ending = 'pass') {
    super(() => verdict);
    this.#answers = [...answers];
  }
  override async execute(...asked: Parameters<ScriptedLane['execute']>) {
    this.told.push(asked[0].condition.key);
    return super.execute(...asked);
  }
  async checkAfter(readBefore: readonly ReadingBefore[]): Promise<BenchAfter | null> {
    this.told.push('check');
    this.readings.push(readBefore);
    const answer = this.#answers.shift();
    if (!answer) throw new Error('asked too often');
    return typeof answer === 'function' ? answer() : answer;
  }
  override async safe() {
    this.told.push('safe');
    return super.safe();
  }
  lost(): string | null {
    return this.gone;
  }
}

/** A run whose rig file asks for checks after the last claim. */
function run(lane: CheckedLane, more: Partial<RunSetup> = {}, keys = ['a', 'b']) {
  const asked = setup([plan('one', keys)], [lane], more);
  const after = notChecked('not checked', 'the run has not ended');
  const rig = { ...asked.draft.rig, readBefore: [reading], after };
  return runSpecs({ ...asked, draft: { ...asked.draft, rig } });
}

describe('the checks after the last claim', () => {
  it('come after the last condition and before the safe state, and are told what was read before', async () => {
    const lane = new CheckedLane([good], 'fail');
    const record = await run(lane);
    expect(lane.told).toEqual(['a', 'b', 'check', 'safe']);
    expect(lane.readings).toEqual([[reading]]);
    expect(record).toMatchObject({ ended: 'complete', verdict: 'fail', rig: { after: good } });
    expect(runRecordSchema.safeParse(record).success).toBe(true);
  });

  it('make the run an error where a limit is broken, and leave its claims', async () => {
    const check = { check: 'drift', result: 'broken' as const, text: '3 %' };
    const record = await run(new CheckedLane([{ ...good, state: 'broken', checks: [check] }]));
    expect(record).toMatchObject({ ended: 'complete', verdict: 'error' });
    expect(record.specs[0]?.verdict).toBe('pass');
  });

  it('are tried again after an instrument has failed, as often as a condition', async () => {
    const twice = new CheckedLane([failed, failed, good]);
    expect((await run(twice, { retries: 2 })).rig.after).toEqual(good);
    const once = new CheckedLane([failed, failed]);
    const record = await run(once, { retries: 1 });
    expect(record).toMatchObject({ verdict: 'error', rig: { after: failed } });
    expect(record.deviations).toContainEqual({
      kind: 'bench error',
      text: 'in the checks after the last claim: digitiser: no answer within 5 s',
    });
  });

  it('are not tried again on a bench that has gone', async () => {
    const lane: CheckedLane = new CheckedLane([
      () => {
        lane.gone = 'a watchdog of the rig has died';
        return failed;
      },
    ]);
    expect((await run(lane, { retries: 3 })).rig.after).toEqual(failed);
  });

  it('are not made where the run is stopped, where the bench is given up, or where nothing was measured', async () => {
    const stop = new AbortController();
    const stopped = new CheckedLane([]);
    stop.abort('SIGINT');
    const record = await run(stopped, { signal: stop.signal });
    expect(stopped.told).toEqual(['safe']);
    expect(record.rig.after).toEqual(notChecked('not checked', 'the run was ended by SIGINT'));
    expect(record.deviations.map(({ kind }) => kind)).toContain('bench not checked');

    const broken = new CheckedLane([], 'error');
    const after = (await run(broken, { maxBenchErrors: 1 })).rig.after;
    expect(after).toMatchObject({
      state: 'not checked',
      why: expect.stringMatching(/failed 1 times/),
    });

    const empty = await run(new CheckedLane([]), {}, []);
    expect(empty.rig.after).toEqual(notChecked('not checked', 'nothing was measured'));
  });

  it('leave a run that is stopped in them to be resumed', async () => {
    const stop = new AbortController();
    const lane = new CheckedLane([
      () => {
        stop.abort('SIGTERM');
        return failed;
      },
    ]);
    const record = await run(lane, { signal: stop.signal, retries: 3 });
    expect(record).toMatchObject({ ended: 'interrupted', verdict: 'pass' });
    expect(record.rig.after).toEqual(notChecked('not checked', 'the run was ended by SIGTERM'));
    expect(lane.told).toEqual(['a', 'b', 'check', 'safe']);
  });

  it('are made where all conditions are known from before', async () => {
    const lane = new CheckedLane([good]);
    const first = await run(new CheckedLane([failed]));
    const done = new Map(
      first.specs.flatMap(({ spec, conditions }) =>
        conditions.map((one) => [conditionId(spec, one), one] as const),
      ),
    );
    const record = await run(lane, { done });
    expect(lane.told).toEqual(['check', 'safe']);
    expect(record).toMatchObject({ verdict: 'pass', rig: { after: good } });
  });
});
