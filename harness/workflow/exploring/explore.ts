import type { Worker } from 'node:worker_threads';
import { type HeartbeatEntry, heartbeatBytes } from '../../../drivers/plant/firmware/heartbeat.ts';
import type { FoundDeviation } from '../../explore/search.ts';
import { shrinkSteps } from '../../explore/shrink-steps.ts';
import type { Plan } from '../../plan/plan.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { startWorker } from '../entry-point.ts';
import { longestCall } from '../lanes/call-watch.ts';
import type { BrokenClaim } from './claim-turns.ts';
import type { ExploreNews, ExploreWorkerData } from './explore-worker.ts';
import { hangsIn } from './hangs-in.ts';
import type { TriedLamp } from './observe-sequence.ts';
import { onHang } from './on-hang.ts';

export interface ExploreRequest {
  readonly tried: TriedLamp;
  /** Threads. */
  readonly jobs: number;
  readonly seed: number;
  /** It ends after so many seconds, after so many sequences, or when the signal aborts; what comes first. */
  readonly seconds: number;
  readonly sequences: number;
  readonly corpus: readonly (readonly WrittenStep[])[];
  /** Claims that the lamp is held to between sequences. */
  readonly plans: readonly Plan[];
  /** The first finding that the reference firmware does not share ends the search. */
  readonly first: boolean;
  readonly signal: AbortSignal;
  onProgress(progress: ExploreProgress): void;
  onDeviation(deviation: TimedDeviation): void;
  onClaim(claim: TimedClaim): void;
}

export interface ExploreProgress {
  readonly sequences: number;
  /** s since the beginning. */
  readonly seconds: number;
  /** Different things that the sequences reached. */
  readonly reached: number;
  readonly deviations: number;
}

/** When it was found, s since the beginning. */
export interface TimedDeviation extends FoundDeviation {
  readonly after: number;
  /** The reference firmware without faults does so, too: the model may be wrong instead of the lamp. */
  readonly ofReference: boolean;
}

/** A claim that failed, and when, s since the beginning. */
export interface TimedClaim extends BrokenClaim {
  readonly after: number;
}

export interface ExploreResult extends ExploreProgress {
  readonly found: readonly TimedDeviation[];
  readonly claims: readonly TimedClaim[];
  /** How often each kind was met. */
  readonly kinds: ReadonlyMap<string, number>;
  readonly corpus: readonly (readonly WrittenStep[])[];
}

/** Most tries for making one deviation small. */
const shrinkTries = 400;
/** Tries, and ms of the wall clock, that may go to making one that hangs small: each starts a thread. */
const hangTries = 60;
const hangTime = 60_000;
/** Seeds of the threads lie so far apart. */
const seedStep = 1_000_003;

/** Searches until its time is over. Rejects when a thread ends by an error of ours. */
export async function explore(request: ExploreRequest): Promise<ExploreResult> {
  const run = new Exploration(request);
  return run.toTheEnd();
}

interface Thread {
  readonly worker: Worker;
  /** The sequence that it is at. */
  trying: readonly WrittenStep[];
  count: number;
  reached: number;
  kinds: readonly (readonly [string, number])[];
}

class Exploration {
  readonly #request: ExploreRequest;
  readonly #stop = new Int32Array(new SharedArrayBuffer(4));
  readonly #began = performance.now();
  readonly #threads: Thread[] = [];
  readonly #found = new Map<string, TimedDeviation>();
  /** By spec. */
  readonly #claims = new Map<string, TimedClaim>();
  readonly #corpus: (readonly WrittenStep[])[] = [];

  constructor(request: ExploreRequest) {
    this.#request = request;
  }

  async toTheEnd(): Promise<ExploreResult> {
    const { seconds, signal, jobs } = this.#request;
    const end = (): void => void Atomics.store(this.#stop, 0, 1);
    const timer = Number.isFinite(seconds) ? setTimeout(end, 1000 * seconds) : null;
    signal.addEventListener('abort', end, { once: true });
    if (signal.aborted) end();
    try {
      await Promise.all(Array.from({ length: jobs }, (_, index) => this.#thread(index)));
    } finally {
      if (timer) clearTimeout(timer);
      signal.removeEventListener('abort', end);
    }
    return {
      ...this.#progress(),
      found: [...this.#found.values()],
      claims: [...this.#claims.values()],
      kinds: this.#kinds(),
      corpus: this.#corpus,
    };
  }

  #thread(index: number): Promise<void> {
    const { tried, seed, corpus, jobs, plans } = this.#request;
    const heartbeat = new SharedArrayBuffer(heartbeatBytes);
    const workerData: ExploreWorkerData = {
      tried,
      seed: (seed + index * seedStep) | 0,
      corpus: corpus.filter((_, at) => at % jobs === index),
      shrinkTries,
      plans,
      share: index,
      of: jobs,
      heartbeat,
      stop: this.#stop.buffer as SharedArrayBuffer,
    };
    const worker = startWorker('exploring/explore-worker', { workerData, stdout: false });
    const thread: Thread = { worker, trying: [], count: 0, reached: 0, kinds: [] };
    this.#threads.push(thread);
    let watching: NodeJS.Timeout | undefined;
    const over = new Promise<void>((resolve, reject) => {
      watching = onHang(heartbeat, (entry) => {
        // Its end is no error any more.
        worker.removeAllListeners('exit');
        void worker.terminate();
        this.#hung(entry, thread).then(resolve, reject);
      });
      worker
        .on('message', (news: ExploreNews) => {
          this.#take(news, thread);
          if (news.news === 'ended') resolve();
        })
        .on('error', reject)
        .on('exit', (code) => reject(new Error(`a thread of the search ended with code ${code}`)));
    });
    return over.finally(() => clearInterval(watching));
  }

  /** Made small in threads of their own, since each attempt that still hangs ends one. */
  async #hung(entry: HeartbeatEntry, { trying: first, count: sequence }: Thread): Promise<void> {
    const reason = `${entry} did not come back within ${longestCall / 1000} s (an infinite loop?)`;
    const kind = `breakdown: ${entry} hangs`;
    if (this.#found.has(kind)) return;
    const { signal, tried, seed } = this.#request;
    const until = performance.now() + hangTime;
    const stillHangs = async (steps: readonly WrittenStep[]): Promise<boolean> =>
      performance.now() < until && !signal.aborted && hangsIn(entry, steps, { tried, seed });
    const steps = await shrinkSteps(first, stillHangs, hangTries);
    const deviation = { kind: 'breakdown' as const, reason };
    this.#deviated({ kind, steps, deviation, first, sequence }, false);
  }

  #take(news: ExploreNews, thread: Thread): void {
    if (news.news === 'trying') thread.trying = news.steps;
    else if (news.news === 'progress') {
      Object.assign(thread, { count: news.count, reached: news.reached, kinds: news.kinds });
      const progress = this.#progress();
      this.#request.onProgress(progress);
      if (progress.sequences >= this.#request.sequences) Atomics.store(this.#stop, 0, 1);
    } else if (news.news === 'deviation') this.#deviated(news.found, news.ofReference);
    else if (news.news === 'claim') this.#broken(news.broken);
    else this.#corpus.push(...news.corpus);
  }

  /** Threads may find the same: the first counts. */
  #deviated(found: FoundDeviation, ofReference: boolean): void {
    if (this.#found.has(found.kind)) return;
    const after = (performance.now() - this.#began) / 1000;
    const timed = { ...found, after, ofReference };
    this.#found.set(found.kind, timed);
    this.#request.onDeviation(timed);
    if (this.#request.first && !ofReference) Atomics.store(this.#stop, 0, 1);
  }

  #broken(claim: BrokenClaim): void {
    if (this.#claims.has(claim.spec)) return;
    const timed = { ...claim, after: (performance.now() - this.#began) / 1000 };
    this.#claims.set(claim.spec, timed);
    this.#request.onClaim(timed);
    if (this.#request.first) Atomics.store(this.#stop, 0, 1);
  }

  #progress(): ExploreProgress {
    return {
      sequences: this.#threads.reduce((sum, { count }) => sum + count, 0),
      seconds: (performance.now() - this.#began) / 1000,
      reached: Math.max(0, ...this.#threads.map(({ reached }) => reached)),
      deviations: this.#found.size + this.#claims.size,
    };
  }

  #kinds(): ReadonlyMap<string, number> {
    const all = new Map<string, number>();
    for (const { kinds } of this.#threads)
      for (const [kind, times] of kinds) all.set(kind, (all.get(kind) ?? 0) + times);
    return all;
  }
}
