import PQueue from 'p-queue';
import type { Plan } from '../../plan/plan.ts';
import { claimCondition } from '../../record/condition-words.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { attempt, type FailedTry } from './attempt.ts';
import type { Tell } from './events.ts';
import { heaviestFirst } from './heaviest-first.ts';
import { claimRecord, type Job } from './jobs.ts';
import type { ConditionResult, ConditionTask, Lane } from './lane.ts';
import { LanePlaces } from './lane-places.ts';
import { measureUntilDecided } from './measure-again.ts';
import type { RunSetup, Stop } from './run-setup.ts';
import { StoreBacklog } from './store-backlog.ts';

/** What is written into while jobs are run. */
export interface Protocol {
  readonly tell: Tell;
  readonly deviations: RunRecord['deviations'];
}

/**
 * Runs the jobs that have no result yet on the lanes, the heaviest first where there are several. Returns why it stopped
 * before all was done, or null; throws the first error that is not the bench's or the lamp's.
 */
export function runJobs(
  jobs: readonly Job[],
  setup: RunSetup,
  protocol: Protocol,
): Promise<Stop | null> {
  return new JobRun(jobs, setup, protocol).all();
}

/** Why the run ends, where somebody ends it. */
export function interruption({ signal }: Pick<RunSetup, 'signal'>): Stop | null {
  const { aborted, reason } = signal;
  return aborted
    ? { ended: 'interrupted', reason: `the run was ended by ${String(reason)}` }
    : null;
}

/** Bytes of results that may wait for the store. */
const mostWaiting = 64e6;

class JobRun {
  readonly #jobs: readonly Job[];
  readonly #setup: RunSetup;
  readonly #protocol: Protocol;
  readonly #places: LanePlaces;
  readonly #backlog: StoreBacklog;
  readonly #halt = new AbortController();
  /** The run was interrupted, or has been halted from here. */
  readonly #signal: AbortSignal;
  readonly #told = new Set<Plan>();
  #benchErrors = 0;
  #stop: Stop | null = null;
  #trouble: unknown = null;

  constructor(jobs: readonly Job[], setup: RunSetup, protocol: Protocol) {
    this.#jobs = jobs;
    this.#setup = setup;
    this.#protocol = protocol;
    this.#places = new LanePlaces(setup.lanes);
    // What can be had again at any time need not be stored before its lane goes on.
    const repeatable = setup.lanes.every((lane) => lane.repeatable);
    this.#backlog = new StoreBacklog(repeatable ? mostWaiting : 0);
    this.#signal = AbortSignal.any([setup.signal, this.#halt.signal]);
  }

  async all(): Promise<Stop | null> {
    const { count } = this.#places;
    const queue = new PQueue({ concurrency: count });
    const open = this.#jobs.filter(({ result }) => !result);
    const inTurn = count > 1 ? heaviestFirst(open) : open;
    await Promise.all(inTurn.map((job) => queue.add(() => this.#one(job))));
    await this.#backlog.empty();
    if (this.#trouble) throw this.#trouble;
    return interruption(this.#setup) ?? this.#stop;
  }

  async #one(job: Job): Promise<void> {
    if (this.#signal.aborted) return;
    const place = this.#places.take();
    const { lane, number, last } = place;
    const { spec, condition } = job.task;
    try {
      const attempted = this.#measured(job, lane);
      place.last = attempted.then(
        () => {},
        () => {},
      );
      await last;
      if (!this.#signal.aborted)
        void this.#tellLater({
          event: 'condition-started',
          spec,
          key: condition.key,
          lane: number,
        });
      const result = await attempted;
      // A condition that was cut off is not a result: it will be run again when the run is resumed.
      if (result) await this.#keep(job, result);
      this.#stopWhereLost(lane);
    } catch (error) {
      this.#fail(error);
    } finally {
      this.#places.giveBack(place);
    }
  }

  /** A condition measured once, or until it is decided; null where it was cut off. */
  async #measured(job: Job, lane: Lane): Promise<ConditionResult | null> {
    const { retries = 0, looks = null } = this.#setup;
    const measure = async (task: ConditionTask): Promise<ConditionResult | null> => {
      const result = await attempt(task, lane, this.#signal, retries, (one) => this.#failed(one));
      const { verdict } = result.condition;
      const isCutOff = this.#signal.aborted && verdict === 'not run';
      // What was measured before stands, and hides the error.
      if (job.begun && verdict === 'error') this.#countBenchError();
      return isCutOff ? null : result;
    };
    if (!looks) return measure(job.task);
    const { spec } = job.task;
    const atMost = looks.again + 1;
    const keep = async ({ condition, captures }: ConditionResult): Promise<void> => {
      job.begun = condition;
      await this.#tellLater({ event: 'condition-undecided', spec, condition, atMost, captures });
    };
    return measureUntilDecided(job.task, job.begun, looks, { measure, keep });
  }

  /** Takes down a result; resolves when the lane may go on. */
  async #keep(job: Job, { condition, captures }: ConditionResult): Promise<void> {
    job.result = condition;
    const { spec } = job.task;
    const storing = this.#tellLater({ event: 'condition-ended', spec, condition, captures });
    await this.#backlog.add(storing, bytesOf(captures));
    if (condition.verdict === 'error') this.#countBenchError();
    this.#tellWhole(job.plan);
  }

  /** The lane's bench is out of reach for good, or somebody else's: what has not been run is not burnt on it. */
  #stopWhereLost(lane: Lane): void {
    const reason = lane.lost?.() ?? null;
    if (reason === null || this.#stop) return;
    this.#stop = { ended: 'failed', reason };
    this.#halt.abort('bench lost');
  }

  #countBenchError(): void {
    this.#benchErrors++;
    const { maxBenchErrors = Number.POSITIVE_INFINITY } = this.#setup;
    if (this.#benchErrors < maxBenchErrors || this.#stop) return;
    const reason = `the bench failed ${this.#benchErrors} times; the run was given up`;
    this.#stop = { ended: 'failed', reason };
    this.#halt.abort('bench errors');
  }

  /** Tells of a claim once all of its conditions have a result. */
  #tellWhole(plan: Plan): void {
    const own = this.#jobs.filter((job) => job.plan === plan);
    if (this.#told.has(plan) || own.some(({ result }) => !result)) return;
    this.#told.add(plan);
    const spec = claimRecord(plan, this.#jobs, this.#setup, null);
    void this.#tellLater({ event: 'spec-ended', spec });
  }

  async #failed({ task, number, text, again }: FailedTry): Promise<void> {
    const { spec, condition } = task;
    const { tell, deviations } = this.#protocol;
    await tell({ event: 'bench-trouble', spec, key: condition.key, text, retry: again });
    const what = again ? 'tried again' : 'given up';
    deviations.push({
      kind: 'bench error',
      text: `${claimCondition(spec, condition.key)}, try ${number}, ${what}: ${text}`,
    });
  }

  /** Told in order, without anybody waiting for it; a listener that cannot store ends the run. */
  #tellLater(event: Parameters<Tell>[0]): Promise<void> {
    const telling = this.#protocol.tell(event);
    telling.catch((error: unknown) => this.#fail(error));
    return telling;
  }

  #fail(error: unknown): void {
    this.#trouble ??= error;
    this.#halt.abort('error');
  }
}

function bytesOf(captures: ConditionResult['captures']): number {
  let bytes = 0;
  for (const { codes } of captures.values()) bytes += codes.byteLength;
  return bytes;
}
