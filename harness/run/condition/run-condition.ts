import { BenchError, LampFailure } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import { ambientLacks } from '../../plan/ambient-lacks.ts';
import { type CapturePlan, planCaptures } from '../../plan/captures/plan-captures.ts';
import { noEvidence } from '../../plan/reach/no-evidence.ts';
import { rigLacks } from '../../plan/rig-lacks.ts';
import type { ConditionResult, ConditionTask } from '../engine/lane.ts';
import { insideOfPass } from '../records/inside-of-pass.ts';
import { loggedPass } from '../records/logged-pass.ts';
import { probesOfPass } from '../records/probes-of-pass.ts';
import { conditionResult, type Ending } from './condition-result.ts';
import { Gathered } from './gathered.ts';
import { runPass } from './run-pass.ts';

/** Opens a bench for one pass; the plant makes a fresh lamp, a rig hands out its instruments again. */
export type Opener = () => Promise<OpenBench>;

/**
 * Carries out one condition: power, stimulus, records, verdicts. A BenchError ends it as `error`, a LampFailure as
 * `fail`; whatever was recorded until then is kept. Other errors are ours and are thrown on.
 */
export async function runCondition(
  task: ConditionTask,
  open: Opener,
  signal: AbortSignal,
  clock: { wallNow(): string },
): Promise<ConditionResult> {
  const startedAt = clock.wallNow();
  const plan = planCaptures(task.condition, task);
  const gathered = new Gathered();
  const ending = await runPasses(plan, task, open, signal, gathered);
  return conditionResult(task, { startedAt, duration: plan.schedule.duration }, gathered, ending);
}

/** Null when every pass came to its end. */
async function runPasses(
  plan: CapturePlan,
  task: ConditionTask,
  open: Opener,
  signal: AbortSignal,
  gathered: Gathered,
): Promise<Ending | null> {
  const { condition, rig, lamp } = task;
  const [lack] = [...rigLacks(condition.stimulus, rig), ...ambientLacks(condition, task)];
  const reason = lack ?? missingInput(plan, task) ?? noEvidence(condition, lamp, rig);
  if (reason !== null) return { verdict: 'not run', reason };
  try {
    for (const [number, pass] of plan.passes.entries()) {
      const bench = await open();
      gathered.passBegan = null;
      try {
        await runPass(pass, plan.schedule, task, { bench, signal }, gathered);
      } finally {
        const zero = gathered.passBegan ?? bench.clock.now();
        const place = { zero, solo: pass.solo };
        gathered.logged.push(...loggedPass(bench, place));
        gathered.probes.push(...probesOfPass(bench, condition, place));
        const { inside } = bench;
        if (inside)
          gathered.lookInside(insideOfPass(bench, inside, task, { ...place, pass: number }));
        await bench.close();
      }
    }
    return null;
  } catch (error) {
    return endingOf(error);
  }
}

/** A capture that no input of the rig serves, in one sentence; null where every one is served. */
function missingInput({ unserved: [first] }: CapturePlan, { rig }: ConditionTask): string | null {
  if (!first) return null;
  const { signal, of } = first;
  const what = of === signal ? signal : `${signal} of ${of}`;
  return `rig ${rig.rig} has no input for ${what}; add a line to its wiring, or leave the claim to a rig that has one`;
}

function endingOf(error: unknown): Ending {
  if (error instanceof BenchError) {
    const verdict = error.kind === 'cancelled' ? 'not run' : 'error';
    return { verdict, reason: `${error.instrument}: ${error.message}` };
  }
  if (error instanceof LampFailure)
    return { verdict: 'fail', reason: error.message, lampFailure: error };
  throw error;
}
