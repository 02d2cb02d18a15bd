import { BenchError } from '../../../harness/bench/errors.ts';
import type { InstrumentClock } from './instrument-clock.ts';
import { type SimulatedTime, scheduleOn } from './simulated-time.ts';

interface Waiter {
  readonly at: number;
  /** Waits for the end of a record. */
  readonly record: boolean;
  resolve(): void;
  reject(error: Error): void;
}

/**
 * Time of a simulation that follows the wall clock: somebody else moves the simulation and calls `wake` afterwards.
 * Waiters resume at the first `wake` at or after their instant.
 */
export class LiveClock implements InstrumentClock {
  readonly kind = 'real';
  readonly #simulation: () => SimulatedTime;
  #waiters: Waiter[] = [];
  #ended: Error | null = null;

  /** `simulation`: the present one; a lamp that gets its power back begins a new one. */
  constructor(simulation: () => SimulatedTime) {
    this.#simulation = simulation;
  }

  now(): number {
    return this.#simulation().now();
  }

  schedule(instant: number, action: () => void): () => void {
    return scheduleOn(this.#simulation(), instant, action);
  }

  waitUntil(instant: number, signal: AbortSignal): Promise<void> {
    return this.#join(instant, false, signal);
  }

  reach(instant: number, signal: AbortSignal): Promise<void> {
    return this.#join(instant, true, signal);
  }

  /** Records that have not ended yet. */
  get openRecords(): number {
    return this.#waiters.filter(({ record }) => record).length;
  }

  /** Resumes everybody whose instant has come. */
  wake(): void {
    const now = this.now();
    const due = this.#waiters.filter(({ at }) => at <= now);
    if (due.length === 0) return;
    this.#waiters = this.#waiters.filter(({ at }) => at > now);
    for (const waiter of due) waiter.resolve();
  }

  /** Rejects everybody who waits, now and later. */
  end(error: Error): void {
    this.#ended ??= error;
    const all = this.#waiters;
    this.#waiters = [];
    for (const waiter of all) waiter.reject(error);
  }

  #join(at: number, record: boolean, signal: AbortSignal): Promise<void> {
    if (this.#ended) return Promise.reject(this.#ended);
    if (signal.aborted) return Promise.reject(cancelled());
    return new Promise((resolve, reject) => {
      const leave = (): void => {
        this.#waiters = this.#waiters.filter((other) => other !== waiter);
        reject(cancelled());
      };
      const waiter: Waiter = {
        at,
        record,
        resolve: () => {
          signal.removeEventListener('abort', leave);
          resolve();
        },
        reject: (error) => {
          signal.removeEventListener('abort', leave);
          reject(error);
        },
      };
      signal.addEventListener('abort', leave, { once: true });
      this.#waiters.push(waiter);
    });
  }
}

function cancelled(): BenchError {
  return new BenchError('cancelled', 'clock', 'the wait was cancelled');
}
