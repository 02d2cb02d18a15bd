import { BenchError } from '../harness/bench/errors.ts';
import type { DriverClock } from './driver-clock.ts';

/** A timer sleeps at least 1 ms and wakes up late; the rest is waited out in turns of the event loop. */
const coarse = 2e-3;
/** Timers take at most 2^31 - 1 ms; longer waits go in pieces. */
const longestSleep = 86_400;

/** Monotonic seconds since it was made. */
export class RealClock implements DriverClock {
  readonly kind = 'real';
  readonly #zero = performance.now();

  now(): number {
    return (performance.now() - this.#zero) / 1000;
  }

  async waitUntil(instant: number, signal: AbortSignal): Promise<void> {
    while (!signal.aborted) {
      const left = instant - this.now();
      if (left <= 0) return;
      if (left > coarse) await sleep(Math.min(left - coarse / 2, longestSleep), signal);
      else await new Promise((resolve) => setImmediate(resolve));
    }
    throw new BenchError('cancelled', 'clock', 'the wait was cancelled');
  }

  schedule(instant: number, action: () => void): () => void {
    let timer: NodeJS.Timeout;
    const sleepOn = (): void => {
      const left = instant - this.now();
      timer =
        left > longestSleep
          ? setTimeout(sleepOn, longestSleep * 1000)
          : setTimeout(action, Math.max(0, left * 1000));
    };
    sleepOn();
    return () => clearTimeout(timer);
  }
}

/** For what is bound to no bench. */
export const realClock = /* @__PURE__ */ new RealClock();

/** Resolves after `seconds`, or at once when the signal aborts. */
export function sleep(seconds: number, signal?: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const done = (): void => {
      clearTimeout(timer);
      signal?.removeEventListener('abort', done);
      resolve();
    };
    const timer = setTimeout(done, seconds * 1000);
    if (signal?.aborted) done();
    else signal?.addEventListener('abort', done, { once: true });
  });
}
