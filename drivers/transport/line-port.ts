/**
 * A way for lines of text in both directions.
 * - Everything rejects with the signal's reason when it aborts, and when the port is gone.
 * - `close` is idempotent and never rejects; what is pending rejects.
 */
export interface LinePort {
  /** Seconds in which whatever stands at the other end begins to answer; infinite where nobody knows. */
  readonly answerTime: number;
  /** Seconds without a byte after which nothing more is on its way. */
  readonly quietTime: number;
  /** Bytes that have arrived of a line that has not ended; 0 where nothing can be lost on the way. */
  readonly waiting: number;
  /** True when the port is gone and will not come back. */
  readonly gone: boolean;
  /** Sends bytes as they are; resolves when they have left. */
  write(bytes: Uint8Array, signal: AbortSignal): Promise<void>;
  /** The next line without its end, or null when none was whole at `until`, s on the clock. One reader at a time. */
  read(until: number, signal: AbortSignal): Promise<string | null>;
  /** Throws away what has arrived. */
  discard(): void;
  close(): Promise<void>;
}

/** Opens a port; rejects when it cannot, or when the signal aborts. */
export type OpenLinePort = (signal: AbortSignal) => Promise<LinePort>;
