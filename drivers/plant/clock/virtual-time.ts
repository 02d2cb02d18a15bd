/** Who may wait on the plant's virtual time line; the simulation runs from one waiter to the next. */
export interface VirtualTime {
  /** Seconds since the condition started. */
  now(): number;
  /** Resolves when the simulation has come to `instant`; rejects with BenchError `cancelled` when the signal aborts. */
  waitUntil(instant: number, signal: AbortSignal): Promise<void>;
}

/** What a simulated instrument needs of its clock, virtual or live. */
export interface InstrumentClock extends VirtualTime {
  /** Like `waitUntil`, for the end of a record. */
  reach(instant: number, signal: AbortSignal): Promise<void>;
}
