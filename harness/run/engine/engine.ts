import { schedule } from '../../plan/schedule.ts';
import { notChecked, verdictWithBench } from '../../record/bench-after.ts';
import type { BenchAfter } from '../../record/rig-record.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { totalsOf } from '../../record/totals.ts';
import { verdictOfRun } from '../../verdict/verdict.ts';
import { checkBenchAfter, deviationsOf } from './check-bench-after.ts';
import { closeLanes } from './close-lanes.ts';
import { type ExpectedCondition, tellInOrder } from './events.ts';
import { rigCost, simulatedCost } from './expected-cost.ts';
import { claimRecord, type Job, jobsOf } from './jobs.ts';
import { interruption, runJobs } from './run-jobs.ts';
import type { RunSetup, Stop } from './run-setup.ts';

/**
 * Runs every condition of every spec and returns the finished record. Whatever happens (all done, a claim failed, the
 * bench broke, an exception, an abort), the lanes are made safe and closed, listeners hear of it, and the record is
 * whole: what did not happen is `not run`, with the reason. Only a listener that cannot store makes it reject, and then
 * after the safe state.
 */
export async function runSpecs(setup: RunSetup): Promise<RunRecord> {
  const started = setup.wall.seconds();
  const jobs = jobsOf(setup);
  const tell = tellInOrder(setup.listeners);
  const deviations = [...setup.draft.deviations];
  let stop: Stop | null = null;
  let trouble: unknown = null;
  let after: BenchAfter | null = null;
  try {
    const lampTime = lampTimeOf(jobs);
    const opening = { record: setup.draft, conditions: jobs.length, lampTime };
    await tell({ event: 'run-started', ...opening, expected: expectedOf(jobs, setup) });
    stop = await runJobs(jobs, setup, { tell, deviations });
    after = await checkBenchAfter(setup, jobs.length, stop);
    // A run that is ended in these checks is resumed for them.
    stop ??= interruption(setup);
  } catch (error) {
    trouble = error;
    stop = { ended: 'failed', reason: error instanceof Error ? error.message : String(error) };
    after ??= setup.draft.rig.after ? notChecked('not checked', stop.reason) : null;
  }
  if (after) deviations.push(...deviationsOf(after));
  const safeState = await closeLanes(setup.lanes, setup.wall);
  const drafted = new Map(setup.draft.specs.map((spec) => [spec.spec, spec]));
  const specs = setup.plans.map((plan) => {
    const { quarantine } = drafted.get(plan.spec) ?? {};
    return { ...claimRecord(plan, jobs, setup, stop), ...(quarantine && { quarantine }) };
  });
  const rig = { ...setup.draft.rig, ...(after && { after }) };
  const record: RunRecord = {
    ...{ ...setup.draft, rig },
    ended: stop?.ended ?? 'complete',
    endedAt: setup.wall.now(),
    verdict: verdictWithBench(verdictOfRun(specs), { rig }),
    totals: totalsOf(specs, setup.wall.seconds() - started),
    safeState,
    deviations,
    specs,
  };
  try {
    await tell({ event: 'safe-state', confirmed: safeState.confirmed, detail: safeState.detail });
    await tell({ event: 'run-ended', record });
  } catch (error) {
    trouble ??= error;
  }
  if (trouble) throw trouble;
  return record;
}

/** What the jobs without a result will cost on these lanes. */
function expectedOf(jobs: readonly Job[], { lanes }: RunSetup): ExpectedCondition[] {
  // Lanes whose conditions can be had again at any time have no real lamp.
  const costOf = lanes.every((lane) => lane.repeatable) ? simulatedCost : rigCost;
  return jobs
    .filter(({ result }) => result === null)
    .map(({ task }) => ({ spec: task.spec, key: task.condition.key, cost: costOf(task) }));
}

/** Lamp time of all jobs, s. */
function lampTimeOf(jobs: readonly Job[]): number {
  const times = jobs.map(({ task }) => schedule(task.condition.stimulus, task.lamp).duration);
  return times.reduce((sum, time) => sum + time, 0);
}
