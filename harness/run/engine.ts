import PQueue from 'p-queue';
import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import type { Plan } from '../plan/plan.ts';
import { schedule } from '../plan/schedule.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { conditionId } from '../record/condition-id.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../record/run-record.ts';
import { totalsOf } from '../record/totals.ts';
import type { RunEvent, RunListener } from './events.ts';
import { heaviestFirst } from './heaviest-first.ts';
import type { ConditionResult, ConditionTask, Lane } from './lane.ts';
import { seedOf } from './seed.ts';
import { specRecord, verdictOfRun } from './spec-record.ts';

export interface RunSetup {
  readonly plans: readonly Plan[];
  readonly lamp: Lamp;
  readonly rig: Rig;
  readonly seed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  /** The lanes, one condition at a time each. The engine closes them. */
  readonly lanes: readonly Lane[];
  /** A record with everything known beforehand; the engine fills in what happened. */
  readonly draft: RunRecord;
  readonly listeners: readonly RunListener[];
  readonly signal: AbortSignal;
  /** Wall clock, handed in: `now` as ISO 8601 UTC, `seconds` monotonic. */
  readonly wall: { now(): string; seconds(): number };
  /** Conditions of an earlier run that need not be repeated, by `conditionId`. */
  readonly done?: ReadonlyMap<string, ConditionRecord>;
  /** Claims that this rig cannot prove, by spec id, with what would be enough: they are not powered for. */
  readonly unprovable?: ReadonlyMap<string, string>;
  /** Give up after so many bench errors. */
  readonly maxBenchErrors?: number;
  /** How often a condition is tried again after a bench error. */
  readonly retries?: number;
}

interface Job {
  readonly plan: Plan;
  readonly task: ConditionTask;
  result: ConditionRecord | null;
}

/**
 * Runs every condition of every spec and returns the finished record. Whatever happens (all done, a claim failed, the
 * bench broke, an exception, an abort), the lanes are made safe and closed, listeners hear of it, and the record is
 * whole: what did not happen is `not run`, with the reason. Only a listener that cannot store makes it reject, and then
 * after the safe state.
 */
export async function runSpecs(setup: RunSetup): Promise<RunRecord> {
  const started = setup.wall.seconds();
  const jobs = jobsOf(setup);
  const tell = teller(setup.listeners);
  const deviations = [...setup.draft.deviations];
  let stop: Stop | null = null;
  let trouble: unknown = null;
  try {
    const lampTime = jobs.reduce(
      (sum, { task }) => sum + schedule(task.condition.stimulus, task.lamp).duration,
      0,
    );
    await tell({ event: 'run-started', record: setup.draft, conditions: jobs.length, lampTime });
    stop = await runJobs(jobs, setup, tell, deviations);
  } catch (error) {
    trouble = error;
    stop = { ended: 'failed', reason: error instanceof Error ? error.message : String(error) };
  }
  const safeState = await makeSafe(setup);
  const specs = setup.plans.map((plan) => recordOf(plan, jobs, setup, stop));
  const record: RunRecord = {
    ...setup.draft,
    ended: stop?.ended ?? 'complete',
    endedAt: setup.wall.now(),
    verdict: verdictOfRun(specs, setup.plans, setup.lamp),
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

interface Stop {
  readonly ended: RunRecord['ended'];
  readonly reason: string;
}

type Tell = (event: RunEvent) => Promise<void>;

/** One event after another, and each listener in turn, whatever lane it came from. */
function teller(listeners: readonly RunListener[]): Tell {
  let last: Promise<void> = Promise.resolve();
  return (event) => {
    last = last.then(async () => {
      for (const listener of listeners) await listener(event);
    });
    return last;
  };
}

function jobsOf({ plans, lamp, rig, seed, faults, done, unprovable }: RunSetup): Job[] {
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
      const id = conditionId(spec, { key: condition.key, repeat });
      return { plan, task, result: done?.get(id) ?? null };
    });
}

/** A lane, and the end of the last condition that it was given. */
interface Place {
  readonly lane: Lane;
  readonly number: number;
  last: Promise<void>;
}

async function runJobs(
  jobs: readonly Job[],
  setup: RunSetup,
  tell: Tell,
  deviations: RunRecord['deviations'],
): Promise<Stop | null> {
  const places: Place[] = setup.lanes.map((lane, number) => ({
    lane,
    number,
    last: Promise.resolve(),
  }));
  const ahead = Math.max(0, ...setup.lanes.map((lane) => lane.ahead ?? 0));
  // Every lane gets its first condition before one gets its second.
  const free = Array.from({ length: 1 + ahead }, (_, round) =>
    places.filter(({ lane }) => (lane.ahead ?? 0) >= round),
  ).flat();
  const queue = new PQueue({ concurrency: free.length });
  const halt = new AbortController();
  const signal = AbortSignal.any([setup.signal, halt.signal]);
  const told = new Set<Plan>();
  const store = new Waiting(setup.lanes.every(({ repeatable }) => repeatable) ? mostWaiting : 0);
  let benchErrors = 0;
  let stop: Stop | null = null;
  let trouble: unknown = null;

  /** Told in order, without anybody waiting for it; a listener that cannot store ends the run. */
  const later = (telling: Promise<void>): void => {
    telling.catch((error: unknown) => {
      trouble ??= error;
      halt.abort('error');
    });
  };
  const one = async (job: Job): Promise<void> => {
    if (signal.aborted) return;
    const place = free.shift()!;
    const { spec, condition } = job.task;
    try {
      const { lane, number, last } = place;
      const attempted = attempt(job, lane, signal, setup, tell, deviations);
      place.last = attempted.then(
        () => {},
        () => {},
      );
      await last;
      if (!signal.aborted)
        later(tell({ event: 'condition-started', spec, key: condition.key, lane: number }));
      const result = await attempted;
      // A condition that was cut off is not a result: it will be run again when the run is resumed.
      if (signal.aborted && result.condition.verdict === 'not run') return;
      job.result = result.condition;
      const storing = tell({
        event: 'condition-ended',
        spec,
        condition: result.condition,
        captures: result.captures,
      });
      later(storing);
      await store.room(storing, bytesOf(result));
      if (result.condition.verdict === 'error') benchErrors++;
      if (benchErrors >= (setup.maxBenchErrors ?? Number.POSITIVE_INFINITY) && !stop) {
        stop = {
          ended: 'failed',
          reason: `the bench failed ${benchErrors} times; the run was given up`,
        };
        halt.abort('bench errors');
      }
      const whole = jobs.filter(({ plan }) => plan === job.plan);
      if (!told.has(job.plan) && whole.every(({ result: done }) => done)) {
        told.add(job.plan);
        later(tell({ event: 'spec-ended', spec: recordOf(job.plan, jobs, setup, null) }));
      }
    } catch (error) {
      trouble ??= error;
      halt.abort('error');
    } finally {
      free.push(place);
    }
  };
  const open = jobs.filter(({ result }) => !result);
  const inTurn = free.length > 1 ? heaviestFirst(open) : open;
  await Promise.all(inTurn.map((job) => queue.add(() => one(job))));
  await store.empty();
  if (trouble) throw trouble;
  if (setup.signal.aborted) {
    return { ended: 'interrupted', reason: `the run was ended by ${String(setup.signal.reason)}` };
  }
  return stop;
}

/** Bytes of results that may wait for the store; one result may be larger. */
const mostWaiting = 64e6;

function bytesOf({ captures }: ConditionResult): number {
  return captures.reduce((sum, { codes }) => sum + codes.byteLength, 0);
}

/** Results on their way to the store: lanes go on meanwhile, as long as these hold no more than so many bytes. */
class Waiting {
  readonly #most: number;
  readonly #stores = new Set<Promise<void>>();
  #bytes = 0;

  constructor(most: number) {
    this.#most = most;
  }

  /** Resolves when there is room for another result; at a limit of 0, when this one is stored. */
  async room(storing: Promise<void>, bytes: number): Promise<void> {
    // Results without captures count as well: their lane must not run away from the store.
    const size = Math.max(bytes, this.#most / 64);
    const settled = storing
      .catch(() => {})
      .then(() => {
        this.#stores.delete(settled);
        this.#bytes -= size;
      });
    this.#stores.add(settled);
    this.#bytes += size;
    while (this.#stores.size > 0 && this.#bytes >= this.#most) await Promise.race(this.#stores);
  }

  async empty(): Promise<void> {
    await Promise.all(this.#stores);
  }
}

/** Runs a condition, again after a bench error where the rig allows it; every retry is written down. */
async function attempt(
  job: Job,
  lane: Lane,
  signal: AbortSignal,
  { retries = 0 }: RunSetup,
  tell: Tell,
  deviations: RunRecord['deviations'],
): Promise<ConditionResult> {
  const { spec, condition } = job.task;
  for (let tries = 1; ; tries++) {
    const result = await lane.execute(job.task, signal);
    const again =
      result.condition.verdict === 'error' &&
      benchBroke(result) &&
      tries <= retries &&
      !signal.aborted;
    if (result.condition.verdict === 'error') {
      const text = result.condition.reason ?? 'bench error';
      await tell({ event: 'bench-trouble', spec, key: condition.key, text, retry: again });
      const what = again ? 'tried again' : 'given up';
      deviations.push({
        kind: 'bench error',
        text: `${spec} [${condition.key}], try ${tries}, ${what}: ${text}`,
      });
    }
    if (again) continue;
    return { ...result, condition: { ...result.condition, attempts: tries } };
  }
}

/**
 * An error without findings: an instrument failed, as against a record that a metric refused. A window without a sample
 * is the bench's doing as well: commands came so late that the record was over.
 */
function benchBroke({ condition: { findings } }: ConditionResult): boolean {
  const empty = findings.some(({ outcome }) => !outcome.measured && outcome.reason === 'empty');
  return findings.length === 0 || empty;
}

async function makeSafe({ lanes, wall }: RunSetup): Promise<RunRecord['safeState']> {
  const details: string[] = [];
  let confirmed = true;
  for (const lane of lanes) {
    try {
      const state = await lane.safe();
      confirmed &&= state.confirmed;
      if (!details.includes(state.detail)) details.push(state.detail);
    } catch (error) {
      confirmed = false;
      details.push(error instanceof Error ? error.message : String(error));
    } finally {
      await lane.close();
    }
  }
  return { confirmed, at: wall.now(), detail: details.join('; ') };
}

/** The claim's record as far as its conditions have been run. */
function recordOf(
  plan: Plan,
  jobs: readonly Job[],
  setup: RunSetup,
  stop: Stop | null,
): SpecRecord {
  const own = jobs.filter((job) => job.plan === plan);
  const conditions = own.map(({ task, result }) => result ?? notRun(task, setup, stop));
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
