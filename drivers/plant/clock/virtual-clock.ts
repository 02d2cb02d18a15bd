import { BenchError } from '../../../harness/bench/errors.ts';
import type { DriverClock } from '../../driver-clock.ts';
import { type SimulatedTime, scheduleOn } from './simulated-time.ts';

interface Waiter {
  readonly at: number;
  readonly order: number;
  resolve(): void;
  reject(error: Error): void;
}

/** Wall-clock rest after which records alone may pull time on: nobody else is going to, ms. */
const idleFuse = 5;
/** Every so many waits the event loop has its turn: a cancellation must be heard. */
const waitsPerTurn = 64;
/** s by which rounding may put the end of a record after the end of the condition. */
const rounding = 1e-9;

/**
 * Virtual time: runs the simulation from waiter to waiter, in order of instant and of asking, and lets everybody who
 * was woken act before it goes on. Time moves on only while somebody waits for it.
 */
export class VirtualClock implements DriverClock {
  readonly kind = 'virtual';
  private readonly simulation: SimulatedTime & { runUntil(instant: number): Promise<void> };
  /** People wait on purpose; records only end some day and must not pull time on while somebody is thinking. */
  private waiters: Waiter[] = [];
  private records: Waiter[] = [];
  private orders = 0;
  /** Counted for each clock: a condition goes the same way whatever ran before it. */
  private waits = 0;
  private pumping = false;
  private fuse: NodeJS.Timeout | null = null;
  private ended: Error | null = null;

  constructor(simulation: SimulatedTime & { runUntil(instant: number): Promise<void> }) {
    this.simulation = simulation;
  }

  now(): number {
    return this.simulation.now();
  }

  schedule(instant: number, action: () => void): () => void {
    return scheduleOn(this.simulation, instant, action);
  }

  waitUntil(instant: number, signal: AbortSignal): Promise<void> {
    return this.join(this.waiters, instant, signal);
  }

  /** Like `waitUntil`, for the end of a record: passive while anybody else moves the clock. */
  reach(instant: number, signal: AbortSignal): Promise<void> {
    return this.join(this.records, instant - rounding, signal);
  }

  /** Rejects everybody who waits, now and later. */
  end(error: Error): void {
    this.ended ??= error;
    if (this.fuse) clearTimeout(this.fuse);
    const all = [...this.waiters, ...this.records];
    this.waiters = [];
    this.records = [];
    for (const waiter of all) waiter.reject(this.ended);
  }

  private join(list: Waiter[], at: number, signal: AbortSignal): Promise<void> {
    if (this.ended) return Promise.reject(this.ended);
    if (signal.aborted) return Promise.reject(cancelled());
    return new Promise((resolve, reject) => {
      const leave = (): void => {
        remove(this.waiters, waiter);
        remove(this.records, waiter);
        reject(cancelled());
      };
      const waiter: Waiter = {
        at,
        order: this.orders++,
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
      insert(list, waiter);
      this.stir();
    });
  }

  private stir(): void {
    if (this.fuse) clearTimeout(this.fuse);
    this.fuse = null;
    if (this.pumping) return;
    if (this.waiters.length > 0) void this.pump();
    else if (this.records.length > 0) {
      this.fuse = setTimeout(() => setImmediate(() => void this.pump()), idleFuse);
    }
  }

  private async pump(): Promise<void> {
    if (this.pumping) return;
    this.pumping = true;
    try {
      do {
        await this.settled();
        await this.wakeNext();
      } while (this.waiters.length > 0);
    } catch (error) {
      this.end(error instanceof Error ? error : new Error(String(error)));
    } finally {
      this.pumping = false;
      if (!this.ended) this.stir();
    }
  }

  /**
   * After every promise that can settle by itself has settled: a tick is served when no microtask is left. (A turn of the
   * event loop, which would do as well, takes ten times as long.)
   */
  private settled(): Promise<void> {
    return new Promise((resolve) => {
      if (++this.waits % waitsPerTurn === 0) setImmediate(resolve);
      else process.nextTick(resolve);
    });
  }

  private async wakeNext(): Promise<void> {
    const waiter = earlier(this.waiters[0], this.records[0]);
    if (!waiter) return;
    if (waiter.at > this.now()) await this.simulation.runUntil(waiter.at);
    remove(this.waiters, waiter);
    remove(this.records, waiter);
    waiter.resolve();
    await this.settled();
  }
}

function cancelled(): BenchError {
  return new BenchError('cancelled', 'clock', 'the wait was cancelled');
}

function insert(list: Waiter[], waiter: Waiter): void {
  const last = list.findLastIndex((other) => !before(waiter, other));
  list.splice(last + 1, 0, waiter);
}

function remove(list: Waiter[], waiter: Waiter): void {
  const index = list.indexOf(waiter);
  if (index >= 0) list.splice(index, 1);
}

function earlier(a: Waiter | undefined, b: Waiter | undefined): Waiter | undefined {
  if (!a || !b) return a ?? b;
  return before(a, b) ? a : b;
}

function before(a: Waiter, b: Waiter): boolean {
  return a.at < b.at || (a.at === b.at && a.order < b.order);
}
