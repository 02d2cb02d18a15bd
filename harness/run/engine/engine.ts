import { schedule } from '../../plan/schedule.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { totalsOf } from '../../record/totals.ts';
import { verdictOfRun } from '../../verdict/verdict.ts';
import { closeLanes } from './close-lanes.ts';
import { tellInOrder } from './events.ts';
import { claimRecord, type Job, jobsOf } from './jobs.ts';
import { runJobs } from './run-jobs.ts';
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
  try {
    const lampTime = lampTimeOf(jobs);
    await tell({ event: 'run-started', record: setup.draft, conditions: jobs.length, lampTime });
    stop = await runJobs(jobs, setup, { tell, deviations });
  } catch (error) {
    trouble = error;
    stop = { ended: 'failed', reason: error instanceof Error ? error.message : String(error) };
  }
  const safeState = await closeLanes(setup.lanes, setup.wall);
  const specs = setup.plans.map((plan) => claimRecord(plan, jobs, setup, stop));
  const record: RunRecord = {
    ...setup.draft,
    ended: stop?.ended ?? 'complete',
    endedAt: setup.wall.now(),
    verdict: verdictOfRun(specs),
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

/** Lamp time of all jobs, s. */
function lampTimeOf(jobs: readonly Job[]): number {
  const times = jobs.map(({ task }) => schedule(task.condition.stimulus, task.lamp).duration);
  return times.reduce((sum, time) => sum + time, 0);
}
