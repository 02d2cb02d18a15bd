import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { conditionId } from '../../record/ids.ts';
import type { ConditionRecord, SpecRecord } from '../../record/run-record.ts';
import { wantsAnother } from '../judge/repeated-condition.ts';
import type { ConditionTask } from './lane.ts';
import type { RunSetup, Stop } from './run-setup.ts';
import { seedOf } from './seed.ts';
import { specRecord } from './spec-record.ts';

/** One condition to be run, and its result once there is one. */
export interface Job {
  readonly plan: Plan;
  readonly task: ConditionTask;
  /** Of a condition that will be measured again: what is known of it so far. */
  begun: ConditionRecord | null;
  result: ConditionRecord | null;
}

/** What tells which conditions are run. */
type JobSetup = Pick<
  RunSetup,
  'plans' | 'lamp' | 'rig' | 'seed' | 'faults' | 'done' | 'unprovable' | 'looks'
>;

/** Every condition and repeat of the claims that lamp and rig can have, in the order of the specs. */
export function jobsOf(setup: JobSetup): Job[] {
  const { plans, lamp, rig, seed, faults, unprovable } = setup;
  return plans
    .filter((plan) => unmetNeed(plan.needs, lamp) === null && !unprovable?.has(plan.spec))
    .flatMap((plan) =>
      plan.conditions.flatMap((condition) =>
        Array.from({ length: plan.repeat }, (_, repeat) => ({ plan, condition, repeat })),
      ),
    )
    .map(({ plan, condition, repeat }, index) => {
      const { spec } = plan;
      const task: ConditionTask = {
        spec,
        condition,
        position: index + 1,
        repeat,
        lamp,
        rig,
        seed: seedOf(seed, spec, condition.key, repeat),
        lampSeed: seed,
        faults,
      };
      return { plan, task, ...knownBefore(task, setup) };
    });
}

/** What an earlier run knows of a condition: its end, or that it stands open. */
function knownBefore(
  { spec, condition, repeat }: ConditionTask,
  { done, looks }: JobSetup,
): Pick<Job, 'begun' | 'result'> {
  const known = done?.get(conditionId(spec, { key: condition.key, repeat })) ?? null;
  const isOpen = known !== null && looks != null && wantsAnother(known, looks);
  return isOpen ? { begun: known, result: null } : { begun: null, result: known };
}

/** The claim's record as far as its conditions have been run. */
export function claimRecord(
  plan: Plan,
  jobs: readonly Job[],
  setup: RunSetup,
  stop: Stop | null,
): SpecRecord {
  const own = jobs.filter((job) => job.plan === plan);
  const conditions = own.map(
    ({ task, result, begun }) => result ?? begun ?? notRun(task, setup, stop),
  );
  return specRecord(plan, conditions, setup.lamp, setup.unprovable?.get(plan.spec));
}

function notRun(
  { condition, repeat }: ConditionTask,
  { wall }: RunSetup,
  stop: Stop | null,
): ConditionRecord {
  return {
    key: condition.key,
    values: { ...condition.values },
    repeat,
    verdict: 'not run',
    reason: stop?.reason ?? 'the run ended before its turn',
    startedAt: wall.now(),
    duration: 0,
    attempts: 0,
    marks: [],
    commands: [],
    captures: [],
    findings: [],
  };
}
