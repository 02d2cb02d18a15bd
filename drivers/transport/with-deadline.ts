import { BenchError, LampFailure } from '../../harness/bench/errors.ts';
import type { Call } from '../../harness/bench/ports.ts';
import type { DriverClock } from '../driver-clock.ts';
import { realClock } from '../real-clock.ts';

/**
 * Keeps the promises of a call: `work` settles before its deadline, or the call rejects with `timeout`, `cancelled` or
 * `closed` whatever `work` does; the signal of `work` aborts then. BenchErrors of `work` pass, and so does the failure of
 * a simulated lamp; any other error is one of the transport and becomes `closed`.
 */
export async function withDeadline<T>(
  name: string,
  call: Call,
  closing: AbortSignal,
  work: (signal: AbortSignal) => Promise<T>,
  clock: DriverClock = realClock,
): Promise<T> {
  const refuse = (): void => {
    if (closing.aborted) throw closedError(name);
    if (call.signal.aborted)
      throw new BenchError('cancelled', name, `${name}: the call was cancelled`);
  };
  refuse();
  const end = new AbortController();
  let late = false;
  const callOff = clock.schedule(clock.now() + call.deadline, () => {
    late = true;
    end.abort(new Error('deadline'));
  });
  const abort = (): void => end.abort(new Error('cancelled'));
  call.signal.addEventListener('abort', abort, { once: true });
  closing.addEventListener('abort', abort, { once: true });
  const stopped = new Promise<never>((_, reject) => {
    end.signal.addEventListener('abort', () => reject(end.signal.reason), { once: true });
  });
  try {
    return await Promise.race([work(end.signal), stopped]);
  } catch (error) {
    refuse();
    if (late) throw noAnswer(name, call.deadline, error);
    if (error instanceof BenchError || error instanceof LampFailure) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new BenchError('closed', name, `${name}: ${why}; check its cable and its address`, {
      cause: error,
    });
  } finally {
    callOff();
    call.signal.removeEventListener('abort', abort);
    closing.removeEventListener('abort', abort);
  }
}

export function noAnswer(name: string, seconds: number, cause?: unknown): BenchError {
  return new BenchError(
    'timeout',
    name,
    `No answer from ${name} within ${seconds} s; is it switched on, and is its deadline long enough?`,
    { cause },
  );
}

function closedError(name: string): BenchError {
  return new BenchError('closed', name, `${name} was closed`);
}

/** Resolves when `work` has settled, however it did, or at the timeout: for a farewell that must not hang. */
export async function settledOrTimeout(
  seconds: number,
  work: Promise<unknown>,
  clock: DriverClock = realClock,
): Promise<void> {
  let callOff = (): void => {};
  const timeout = new Promise<void>((resolve) => {
    callOff = clock.schedule(clock.now() + seconds, resolve);
  });
  await Promise.race([work.catch(() => {}), timeout]);
  callOff();
}
