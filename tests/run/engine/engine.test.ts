import { describe, expect, it } from 'vitest';
import { type RunRecord, runRecordSchema } from '../../../harness/record/run-record.ts';
import { runSpecs } from '../../../harness/run/engine/engine.ts';
import type { RunEvent } from '../../../harness/run/engine/events.ts';
import type { ConditionTask } from '../../../harness/run/engine/lane.ts';
import { plan, result, ScriptedLane, setup } from './scripted-lane.ts';

function verdicts(record: RunRecord): string[] {
  return record.specs.flatMap(({ spec, conditions }) =>
    conditions.map(({ key, verdict }) => `${spec} ${key} ${verdict}`),
  );
}

describe('runSpecs', () => {
  it('runs every condition, rolls verdicts up and makes the lanes safe', async () => {
    const lane = new ScriptedLane(({ condition }) => (condition.key === 'b' ? 'fail' : 'pass'));
    const record = await runSpecs(setup([plan('one', ['a', 'b']), plan('two', ['c'])], [lane]));
    expect(verdicts(record)).toEqual(['one a pass', 'one b fail', 'two c pass']);
    expect(record.specs.map(({ verdict }) => verdict)).toEqual(['fail', 'pass']);
    expect(record).toMatchObject({
      ended: 'complete',
      verdict: 'fail',
      safeState: { confirmed: true },
    });
    expect([lane.safes, lane.closes]).toEqual([1, 1]);
    expect(runRecordSchema.safeParse(record).success).toBe(true);
  });

  it('keeps the order of the specs whatever lane is faster', async () => {
    const slow = (ms: number) =>
      new ScriptedLane(async () => {
        await new Promise((done) => setTimeout(done, ms));
        return 'pass' as const;
      });
    const plans = [plan('one', ['a', 'b', 'c']), plan('two', ['d', 'e'])];
    const record = await runSpecs(setup(plans, [slow(9), slow(1)]));
    expect(verdicts(record)).toEqual([
      'one a pass',
      'one b pass',
      'one c pass',
      'two d pass',
      'two e pass',
    ]);
  });

  it('gives a condition the same seed whatever else is run', async () => {
    const seeds: Record<string, number>[] = [];
    for (const plans of [
      [plan('one', ['a', 'b'])],
      [plan('two', ['x']), plan('one', ['b', 'a'])],
    ]) {
      const seen: Record<string, number> = {};
      const lane = new ScriptedLane(({ spec, condition, seed }) => {
        if (spec === 'one') seen[condition.key] = seed;
        return 'pass';
      });
      await runSpecs(setup(plans, [lane]));
      seeds.push(seen);
    }
    expect(seeds[0]).toEqual(seeds[1]);
    expect(seeds[0]!['a']).not.toBe(seeds[0]!['b']);
  });

  it('leaves a claim that the lamp has no part for, and does not count it', async () => {
    const record = await runSpecs(
      setup(
        [plan('nine', ['a'], { channels: 9 }), plan('one', ['b'])],
        [new ScriptedLane(() => 'pass')],
      ),
    );
    expect(record.specs[0]).toMatchObject({
      verdict: 'not applicable',
      reason: expect.stringContaining('9'),
    });
    expect(record.verdict).toBe('pass');
  });

  it('does not power the lamp for a claim that the rig cannot prove, and does not call the run passed', async () => {
    const lane = new ScriptedLane(() => 'pass');
    const unprovable = new Map([['deep', 'the rig has 8 bit; at least 16 bit would be enough']]);
    const record = await runSpecs(
      setup([plan('deep', ['a']), plan('one', ['b'])], [lane], { unprovable }),
    );
    expect(lane.ran).toEqual(['b']);
    expect(record.specs[0]).toMatchObject({ verdict: 'not run', reason: unprovable.get('deep') });
    expect(record.verdict).toBe('not run');
  });

  it('is `not run`, never `pass`, when no claim could be tested', async () => {
    const record = await runSpecs(
      setup([plan('nine', ['a'], { channels: 9 })], [new ScriptedLane(() => 'pass')]),
    );
    expect(record.verdict).toBe('not run');
  });

  it('tries again after a bench error as often as it may, and writes every try down', async () => {
    let calls = 0;
    const lane = new ScriptedLane(() => (++calls < 3 ? 'error' : 'pass'));
    const record = await runSpecs(setup([plan('one', ['a'])], [lane], { retries: 2 }));
    expect(record.verdict).toBe('pass');
    expect(record.specs[0]!.conditions[0]!.attempts).toBe(3);
    expect(
      record.deviations.filter(({ kind }) => kind === 'bench error').map(({ text: why }) => why),
    ).toEqual([
      'one, a, try 1, tried again: because of error',
      'one, a, try 2, tried again: because of error',
    ]);
  });

  it.each([
    ['empty', 2, 'a window without a sample is the bench coming late'],
    ['saturated', 1, 'a record that a metric refuses for what is in it stays refused'],
  ])('tries a record that is %s %i times: %s', async (reason, attempts) => {
    const lane = new ScriptedLane(() => 'error');
    lane.execute = async (task) => {
      lane.ran.push(task.condition.key);
      const done = result(task, lane.ran.length > 1 ? 'pass' : 'error');
      const refused = { outcome: { measured: false, reason }, captures: [] };
      const findings = lane.ran.length > 1 ? [] : [refused as never];
      return { ...done, condition: { ...done.condition, findings } };
    };
    const record = await runSpecs(setup([plan('one', ['a'])], [lane], { retries: 3 }));
    expect(record.specs[0]!.conditions[0]!.attempts).toBe(attempts);
  });

  it('goes on after a bench error and reports it as error, not as fail', async () => {
    const lane = new ScriptedLane(({ condition }) => (condition.key === 'a' ? 'error' : 'pass'));
    const record = await runSpecs(setup([plan('one', ['a', 'b'])], [lane], { retries: 1 }));
    expect(verdicts(record)).toEqual(['one a error', 'one b pass']);
    expect(record.verdict).toBe('error');
  });

  it('gives up after the allowed number of bench errors and says so of the rest', async () => {
    const lane = new ScriptedLane(() => 'error');
    const record = await runSpecs(
      setup([plan('one', ['a', 'b', 'c', 'd'])], [lane], { maxBenchErrors: 2 }),
    );
    expect(verdicts(record)).toEqual([
      'one a error',
      'one b error',
      'one c not run',
      'one d not run',
    ]);
    expect(record.ended).toBe('failed');
    expect(record.specs[0]!.conditions[3]!.reason).toBe(
      'the bench failed 2 times; the run was given up',
    );
    expect(lane.safes).toBe(1);
  });

  it.each(['SIGINT', 'SIGTERM'])('ends safe and whole on %s', async (name) => {
    const interrupt = new AbortController();
    const lane = new ScriptedLane(({ condition }) => {
      if (condition.key === 'b') interrupt.abort(name);
      return condition.key === 'b' ? 'not run' : 'pass';
    });
    const record = await runSpecs(
      setup([plan('one', ['a', 'b', 'c'])], [lane], { signal: interrupt.signal }),
    );
    expect(verdicts(record)).toEqual(['one a pass', 'one b not run', 'one c not run']);
    expect(record).toMatchObject({ ended: 'interrupted', safeState: { confirmed: true } });
    expect(record.specs[0]!.conditions[2]!.reason).toBe(`the run was ended by ${name}`);
    expect([lane.safes, lane.closes]).toEqual([1, 1]);
  });

  it('makes safe, tells the listeners, and throws on, when a lane breaks in a way nobody foresaw', async () => {
    const lane = new ScriptedLane(({ condition }) => {
      if (condition.key === 'b') throw new Error('a bug of ours');
      return 'pass';
    });
    const events: RunEvent[] = [];
    const listeners = [(event: RunEvent) => void events.push(event)];
    await expect(
      runSpecs(setup([plan('one', ['a', 'b', 'c'])], [lane], { listeners })),
    ).rejects.toThrow('a bug of ours');
    expect([lane.safes, lane.closes]).toEqual([1, 1]);
    const last = events.at(-1)!;
    expect(last.event === 'run-ended' && last.record).toMatchObject({ ended: 'failed' });
    expect(last.event === 'run-ended' && verdicts(last.record)).toEqual([
      'one a pass',
      'one b not run',
      'one c not run',
    ]);
  });

  it('makes safe and throws when the record cannot be stored', async () => {
    const lane = new ScriptedLane(() => 'pass');
    const listeners = [
      (event: RunEvent) => {
        if (event.event === 'condition-ended') throw new Error('disk full');
      },
    ];
    await expect(runSpecs(setup([plan('one', ['a', 'b'])], [lane], { listeners }))).rejects.toThrow(
      'disk full',
    );
    expect([lane.safes, lane.closes]).toEqual([1, 1]);
    expect(lane.ran).toEqual(['a']);
  });

  it('closes every lane even when one cannot be made safe, and does not claim that it was', async () => {
    const stuck = new ScriptedLane(() => 'pass');
    stuck.safe = async () => {
      throw new Error('the supply does not answer');
    };
    const well = new ScriptedLane(() => 'pass');
    const record = await runSpecs(setup([plan('one', ['a'])], [stuck, well]));
    expect(record.safeState.confirmed).toBe(false);
    expect(record.safeState.detail).toContain('the supply does not answer');
    expect([stuck.closes, well.closes]).toEqual([1, 1]);
  });

  it('repeats only what an earlier run had not finished', async () => {
    const lane = new ScriptedLane(() => 'pass');
    const plans = [plan('one', ['a', 'b'])];
    const task = { spec: 'one', condition: plans[0]!.conditions[0]!, repeat: 0 } as ConditionTask;
    const done = new Map([['one\ta\t0', result(task, 'fail').condition]]);
    const record = await runSpecs(setup(plans, [lane], { done }));
    expect(lane.ran).toEqual(['b']);
    expect(verdicts(record)).toEqual(['one a fail', 'one b pass']);
  });

  it('tells of each finished claim exactly once, after its last condition', async () => {
    const told: string[] = [];
    const listeners = [
      (event: RunEvent) => {
        if (event.event === 'condition-ended') told.push(`${event.spec} ${event.condition.key}`);
        if (event.event === 'spec-ended') told.push(`${event.spec.spec} ended`);
      },
    ];
    const lanes = [new ScriptedLane(() => 'pass'), new ScriptedLane(() => 'pass')];
    await runSpecs(setup([plan('one', ['a', 'b']), plan('two', ['c', 'd'])], lanes, { listeners }));
    expect(told.filter((line) => line.endsWith('ended'))).toEqual(['one ended', 'two ended']);
    expect(told.indexOf('one ended')).toBeGreaterThan(told.indexOf('one b'));
  });
});
