import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';

/** Exit code of a process that a signal ended: 143 after SIGTERM, 130 after Ctrl-C. */
export function interruptionCode({ interrupted }: Pick<Io, 'interrupted'>): number {
  return interrupted.reason === 'SIGTERM' ? exitCodes.terminated : exitCodes.interrupted;
}

/** Resolves when the signal aborts, or at once where it has. */
export function aborted(signal: AbortSignal): Promise<void> {
  if (signal.aborted) return Promise.resolve();
  return new Promise((done) => signal.addEventListener('abort', () => done(), { once: true }));
}
