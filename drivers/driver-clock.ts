import type { Clock } from '../harness/bench/ports.ts';

/** The time that a driver goes by: the wall clock on a rig, the virtual clock in a simulated run. */
export interface DriverClock extends Clock {
  /**
   * Calls `action` at `instant`, s (now, where that has passed), and returns what calls it off. A virtual clock does not
   * run on for it: time comes to `instant` while somebody waits that long.
   */
  schedule(instant: number, action: () => void): () => void;
}
