import type { DriverClock } from '../../driver-clock.ts';

/** What a simulated instrument needs of its clock, virtual or live. */
export interface InstrumentClock extends DriverClock {
  /** Like `waitUntil`, for the end of a record. */
  reach(instant: number, signal: AbortSignal): Promise<void>;
}
