import { BenchError } from '../../harness/bench/errors.ts';

/**
 * A call that timed out although bytes had come: whoever should answer is not silent, so that its silence proves nothing. Other errors come
 * back as they are.
 */
export function halfAnswer(error: unknown, bytes: number): unknown {
  if (bytes === 0 || !(error instanceof BenchError) || error.kind !== 'timeout') return error;
  const { instrument: name } = error;
  return new BenchError(
    'garbled',
    name,
    `${name} began to answer (${bytes} bytes), but no line of it had ended in time; is its baud rate right, and what carries it fast enough?`,
    { cause: error },
  );
}
