import { BenchError } from '../../harness/bench/errors.ts';
import type { Call } from '../../harness/bench/ports.ts';

/**
 * Keeps the promises of a call: `work` settles before its deadline, or the call rejects with `timeout`, `cancelled` or
 * `closed` whatever `work` does; the signal of `work` aborts then. BenchErrors of `work` pass; any other error is one of
 * the transport and becomes `closed`.
 */
export async function withDeadline<T>(
  name: string,
  call: Call,
  closing: AbortSignal,
  work: (signal: AbortSignal) => Promise<T>,
): Promise<T> {
  const refuse = (): void => {
    if (closing.aborted) throw closedError(name);
    if (call.signal.aborted)
      throw new BenchError('cancelled', name, `${name}: the call was cancelled`);
  };
  refuse();
  const end = new AbortController();
  let late = false;
  const timer = setTimeout(() => {
    late = true;
    end.abort(new Error('deadline'));
  }, call.deadline * 1000);
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
    if (late)
      throw new BenchError(
        'timeout',
        name,
        `${name}: no answer within ${call.deadline} s; is it switched on, and is its deadline long enough?`,
        { cause: error },
      );
    if (error instanceof BenchError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new BenchError('closed', name, `${name}: ${why}; check its cable and its address`, {
      cause: error,
    });
  } finally {
    clearTimeout(timer);
    call.signal.removeEventListener('abort', abort);
    closing.removeEventListener('abort', abort);
  }
}

function closedError(name: string): BenchError {
  return new BenchError('closed', name, `${name}: it was closed`);
}

/** Resolves when `work` has settled, however it did, or at the timeout: for a farewell that must not hang. */
export async function settledOrTimeout(seconds: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const timeout = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, seconds * 1000);
  });
  await Promise.race([work.catch(() => {}), timeout]);
  clearTimeout(timer);
}
