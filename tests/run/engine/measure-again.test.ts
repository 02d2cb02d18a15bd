import { describe, expect, it } from 'vitest';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import { timesMeasured } from '../../../harness/record/measurements.ts';
import type { ConditionRecord, Finding } from '../../../harness/record/run-record.ts';
import { runSpecs } from '../../../harness/run/engine/engine.ts';
import type { RunEvent } from '../../../harness/run/engine/events.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../../harness/run/engine/lane.ts';
import { judge } from '../../../harness/verdict/judge.ts';
import { plan, result, setup } from './scripted-lane.ts';

const looks = { rule: 'guarded', coverageFactor: 2, again: 3 } as const;
const limits = { lower: null, upper: 10, target: null, text: 'at most 10' };
const raw = { codes: new Int16Array(4) } as unknown as RawCapture;

/** A level of this value with a random standard uncertainty of 1, held against at most 10. */
function level(value: number): Finding {
  const { verdict } = judge(value, 2, limits, 'guarded');
  return {
    ...{ metric: 'level-ratio', title: 'Level', of: 'light', unit: '1', shown: '1', source: 's' },
    ...{ during: null, outcome: { measured: true, value }, limits, rule: 'guarded', verdict },
    uncertainty: {
      ...{ expanded: 2, coverageFactor: 2 },
      contributions: [{ name: 'noise', standard: 1, random: 1 }],
    },
    ...{ reason: 'r', captures: ['light'], evidence: { charts: [], notes: {} } },
  };
}

/** A lane that finds these values in turn; `error` for a bench that breaks. */
class LevelLane implements Lane {
  readonly tasks: ConditionTask[] = [];
  readonly #values: readonly (number | 'error')[];
  readonly #meanwhile: (measured: number) => void;

  constructor(values: readonly (number | 'error')[], meanwhile = (_measured: number) => {}) {
    this.#values = values;
    this.#meanwhile = meanwhile;
  }

  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    this.tasks.push(task);
    this.#meanwhile(this.tasks.length);
    if (signal.aborted) return result(task, 'not run');
    const value = this.#values[this.tasks.length - 1] ?? 'error';
    if (value === 'error') return result(task, 'error');
    const finding = level(value);
    const { condition } = result(task, finding.verdict);
    const captures = [{ id: 'light', file: '0001-light.codes' }] as ConditionRecord['captures'];
    const commands = [{ at: value, link: 'l', verb: 'set', text: `${value}`, reply: null }];
    return {
      condition: { ...condition, captures, commands, findings: [finding] },
      captures: new Map([['light', raw]]),
    };
  }
  async safe() {
    return { confirmed: true, detail: 'off' };
  }
  async close() {}
}

async function run(lane: Lane, more: Partial<Parameters<typeof runSpecs>[0]> = {}) {
  const events: RunEvent[] = [];
  const listeners = [(event: RunEvent) => void events.push(event)];
  const record = await runSpecs(setup([plan('one', ['a'])], [lane], { looks, listeners, ...more }));
  const [condition] = record.specs[0]?.conditions ?? [];
  if (!condition) throw new Error('no condition');
  return { record, condition, events };
}

describe('a condition that is inconclusive', () => {
  it('is measured again until the measurements decide it together, each with noise of its own', async () => {
    const lane = new LevelLane([9.4, 7.2, 7.3, 9.3]);
    const { condition } = await run(lane);
    expect(condition.verdict).toBe('pass');
    expect(condition.findings[0]?.repeated?.values).toEqual(
      [9.4, 7.2, 7.3, 9.3].slice(0, lane.tasks.length),
    );
    expect(lane.tasks.length).toBeGreaterThan(1);
    expect(new Set(lane.tasks.map(({ seed }) => seed)).size).toBe(lane.tasks.length);
    expect(new Set(lane.tasks.map(({ lampSeed }) => lampSeed)).size).toBe(1);
  });

  it('is left at that after as many as are allowed, and keeps what each of them was', async () => {
    const lane = new LevelLane([9.9, 10.3, 9.8, 10.1, 9]);
    const { condition, record } = await run(lane);
    expect(lane.tasks).toHaveLength(4);
    expect(condition.verdict).toBe('inconclusive');
    expect(condition.captures.map(({ id, file }) => `${id} ${file}`)).toEqual([
      'light 0001-light.codes',
      'light.2 0001-light.2.codes',
      'light.3 0001-light.3.codes',
      'light.4 0001-light.4.codes',
    ]);
    expect(condition.findings[0]?.captures).toEqual(['light', 'light.2', 'light.3', 'light.4']);
    expect(condition.commands[0]?.text).toBe('10.1');
    expect(condition.measurements?.map(({ commands }) => commands?.[0]?.text)).toEqual([
      '9.9',
      '10.3',
      '9.8',
      undefined,
    ]);
    expect(record.totals.lampTime).toBe(4);
  });

  it('is not measured again without being asked for, nor where nothing is open', async () => {
    for (const more of [{ looks: null }, {}]) {
      const lane = new LevelLane([more.looks === null ? 9 : 3]);
      await run(lane, more);
      expect(lane.tasks).toHaveLength(1);
    }
  });

  it('fails for good with the first measurement that fails, and is not measured further', async () => {
    const lane = new LevelLane([9, 14, 3, 3]);
    const { condition } = await run(lane);
    expect(lane.tasks).toHaveLength(2);
    expect(condition.verdict).toBe('fail');
  });

  it('is stored with each measurement, before the next one', async () => {
    const lane = new LevelLane([9.9, 10.3, 9.8, 10.1]);
    const { events } = await run(lane);
    const told = events.flatMap((event) =>
      event.event === 'condition-undecided' || event.event === 'condition-ended'
        ? [`${event.event} ${timesMeasured(event.condition)} ${[...event.captures.keys()]}`]
        : [],
    );
    expect(told).toEqual([
      'condition-undecided 1 light',
      'condition-undecided 2 light.2',
      'condition-undecided 3 light.3',
      'condition-ended 4 light.4',
    ]);
  });

  it('stays open when the bench breaks while it is measured again, and says so', async () => {
    const { condition, record } = await run(new LevelLane([9.9, 10.3, 'error']));
    expect(condition).toMatchObject({ verdict: 'inconclusive' });
    expect(timesMeasured(condition)).toBe(2);
    expect(condition.reason).toContain(
      'measuring it again ended in a bench error: because of error',
    );
    expect(record.deviations.map(({ kind }) => kind)).toContain('bench error');
  });
});

describe('a run that is cut off between two measurements', () => {
  it('keeps what was measured, and goes on with the next one when it is resumed', async () => {
    const stop = new AbortController();
    const first = new LevelLane([9.9, 10.3], (count) => {
      if (count === 3) stop.abort('SIGINT');
    });
    const { condition } = await run(first, { signal: stop.signal });
    expect(condition).toMatchObject({ verdict: 'inconclusive' });
    expect(timesMeasured(condition)).toBe(2);

    const rest = new LevelLane([9.8, 10.1]);
    const done = new Map([['one\ta\t0', condition]]);
    const resumed = await run(rest, { done });
    const whole = await run(new LevelLane([9.9, 10.3, 9.8, 10.1]));
    expect(rest.tasks.map(({ measurement }) => measurement)).toEqual([3, 4]);
    expect(resumed.condition.findings).toEqual(whole.condition.findings);
    expect(resumed.condition.captures).toEqual(whole.condition.captures);
  });
});
