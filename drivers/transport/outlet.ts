import type { Departure } from '../../harness/bench/ports.ts';

/**
 * A way out on which one thing leaves after another, in the order in which it was handed over. What cannot leave breaks
 * it, and everything that waits is lost; `ready` mends it. Waits reject with the signal's reason when it aborts.
 */
export interface Outlet {
  /** The last thing that was handed over could not leave. */
  readonly broken: boolean;
  /** So much waits that a stream leaves the next one out. */
  readonly congested: boolean;
  /** Opens it, unless it is open and whole; rejects where that cannot be done. */
  ready(signal: AbortSignal): Promise<void>;
  /** Resolves when the next thing would leave at once. */
  free(signal: AbortSignal): Promise<void>;
  /**
   * Resolves when everything has arrived at the other end, as far as this end can know, with when the last thing that was
   * handed over left; rejects when it could not leave.
   */
  sent(signal: AbortSignal): Promise<Departure>;
  /** Idempotent, never rejects. What waits is lost. */
  close(): Promise<void>;
}
