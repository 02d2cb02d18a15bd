/** Time of a simulation, s, and what happens in it. */
export interface SimulatedTime {
  now(): number;
  /** Calls `act` when the simulation comes to `instant`, in order of instants, then of calls, before anybody who waits for it resumes. */
  schedule(instant: number, act: () => void): void;
}

/** Schedules `action` and returns what calls it off. */
export function scheduleOn(
  simulation: SimulatedTime,
  instant: number,
  action: () => void,
): () => void {
  let wanted = true;
  simulation.schedule(instant, () => {
    if (wanted) action();
  });
  return () => {
    wanted = false;
  };
}
