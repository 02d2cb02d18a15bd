import { readFileSync } from 'node:fs';
import { driverSettings } from '../../../drivers/registry.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import type { Plan } from '../../../harness/plan/plan.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../../harness/run/engine/lane.ts';
import type { RunSetup } from '../../../harness/run/engine/run-setup.ts';
import type { Ending } from '../../../harness/verdict/verdict.ts';
import { draftRecord } from '../../../harness/workflow/running/draft-record.ts';

const read = <T>(value: T | { readonly issues: unknown }): T => value as T;
const text = (file: string): string => readFileSync(file, 'utf8');
const { lamp } = read(readLamp(text('specs/lamps/alcove-6.lamp.yaml'), 'lamp')) as never as {
  lamp: RunSetup['lamp'];
};
const { rig } = read(
  readRig(text('specs/rigs/simulated.rig.yaml'), 'rig', driverSettings),
) as never as {
  rig: RunSetup['rig'];
};
const digest = '0'.repeat(64);

export function plan(spec: string, keys: readonly string[], needs: Plan['needs'] = {}): Plan {
  const conditions = keys.map((key) => ({
    key,
    values: {},
    stimulus: [],
    captures: [],
    criteria: [],
  }));
  const claim = `Claim of ${spec}.`;
  return {
    spec,
    claim,
    file: `${spec}.spec.yaml`,
    folder: 'f',
    digest,
    traces: [],
    tags: [],
    needs,
    repeat: 1,
    conditions,
  };
}

/** A lane whose answers are written down beforehand: what the engine does with each ending is the subject here. */
export class ScriptedLane implements Lane {
  readonly ran: string[] = [];
  safes = 0;
  closes = 0;
  readonly #answer: (task: ConditionTask, signal: AbortSignal) => Promise<Ending> | Ending;
  constructor(answer: (task: ConditionTask, signal: AbortSignal) => Promise<Ending> | Ending) {
    this.#answer = answer;
  }
  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    this.ran.push(task.condition.key);
    return result(task, await this.#answer(task, signal));
  }
  async safe() {
    this.safes++;
    return { confirmed: true, detail: 'light off' };
  }
  async close() {
    this.closes++;
  }
}

export function result(task: ConditionTask, verdict: Ending): ConditionResult {
  const condition = {
    key: task.condition.key,
    values: {},
    repeat: task.repeat,
    verdict,
    reason: verdict === 'pass' ? null : `because of ${verdict}`,
    startedAt: '2026-01-01T00:00:00Z',
    duration: 1,
    attempts: 1,
    marks: [],
    commands: [],
    captures: [],
    findings: [],
  };
  return { condition, captures: new Map() };
}

export function setup(
  plans: readonly Plan[],
  lanes: readonly Lane[],
  more: Partial<RunSetup> = {},
): RunSetup {
  const file = { file: 'x', digest };
  const facts = {
    lamp,
    rig,
    plans,
    seed: 1,
    faults: [],
    tags: [],
    paths: [],
    build: 'b',
    serial: 's',
  };
  const draft = draftRecord({
    ...facts,
    lampFile: file,
    rigFile: file,
    firmware: { kind: 'reference', name: 'reference', digest: null },
    commit: null,
    identities: new Map(),
    notes: {},
    startedAt: '2026-01-01T00:00:00Z',
  });
  let ticks = 0;
  const wall = { now: () => '2026-01-01T00:00:01Z', seconds: () => ticks++ };
  const signal = new AbortController().signal;
  return {
    plans,
    lamp,
    rig,
    seed: 1,
    faults: [],
    lanes,
    draft,
    listeners: [],
    signal,
    wall,
    ...more,
  };
}
