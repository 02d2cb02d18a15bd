import { type BenchErrorKind, isBenchError } from '../../harness/bench/errors.ts';
import { Broken, expectThat } from './guarantee.ts';

/** Seconds of wall clock that count as `at once`. */
export const atOnce = 1;

export type Settled<T> =
  | { readonly how: 'resolved'; readonly value: T }
  | { readonly how: 'rejected'; readonly error: unknown };

/** How a promise settles, which has to be within `seconds`; `what` names the call. */
export async function settled<T>(
  promise: Promise<T>,
  seconds: number,
  what: string,
): Promise<Settled<T>> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<null>((resolve) => {
    timer = setTimeout(() => resolve(null), seconds * 1000);
  });
  const outcome = promise.then(
    (value): Settled<T> => ({ how: 'resolved', value }),
    (error: unknown): Settled<T> => ({ how: 'rejected', error }),
  );
  const first = await Promise.race([outcome, late]);
  clearTimeout(timer);
  if (first) return first;
  throw new Broken(`${what} should have settled within ${seconds} s, but did not`);
}

/** The call has to reject within `seconds`, with a bench error of one of these kinds. */
export async function rejectsWith(
  promise: Promise<unknown>,
  kinds: readonly BenchErrorKind[],
  seconds: number,
  what: string,
): Promise<void> {
  const outcome = await settled(promise, seconds, what);
  expectThat(
    outcome.how === 'rejected',
    `${what} should reject with ${kinds.join(' or ')}, but resolved`,
  );
  expectKind(outcome.error, kinds, what);
}

export function expectKind(error: unknown, kinds: readonly BenchErrorKind[], what: string): void {
  const wanted = kinds.join(' or ');
  expectThat(
    isBenchError(error),
    `${what} should reject with a bench error (${wanted}), but threw ${String(error)}`,
  );
  expectThat(
    kinds.includes(error.kind),
    `${what} should reject with ${wanted}, but with ${error.kind}: ${error.message}`,
  );
}

/** The call has to resolve within `seconds`. */
export async function resolves<T>(promise: Promise<T>, seconds: number, what: string): Promise<T> {
  const outcome = await settled(promise, seconds, what);
  if (outcome.how === 'resolved') return outcome.value;
  throw new Broken(`${what} should have worked, but rejected: ${String(outcome.error)}`, {
    cause: outcome.error,
  });
}
