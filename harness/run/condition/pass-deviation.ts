import { BenchError } from '../../bench/errors.ts';
import type { Commanded } from '../../measure/observation.ts';

/** Passes whose marks are farther apart than this did not see the same stimulus, s. */
const farthest = 0.1;

/**
 * How far, in s, the time line of a later pass is from that of the first one, by which its records are judged: none on
 * the simulated bench, where commands are on time. Throws a bench error where the windows would not fit its records.
 */
export function passDeviation(first: Commanded, later: Commanded, instrument: string): number {
  const marks = largest(
    first.marks.map(({ at }) => at),
    later.marks.map(({ at }) => at),
  );
  if (marks > farthest)
    throw new BenchError(
      'timeout',
      instrument,
      `one pass of the condition came ${marks.toFixed(2)} s earlier or later than the first, so that their records do not fit one time line; keep this computer less busy, or wire an input to each channel`,
    );
  const turns = first.channels.map(({ segments }, index) =>
    largest(
      segments.map(({ from }) => from),
      (later.channels[index]?.segments ?? []).map(({ from }) => from),
    ),
  );
  return Math.max(marks, ...turns);
}

function largest(one: readonly number[], other: readonly number[]): number {
  return Math.max(0, ...one.map((at, index) => Math.abs(at - (other[index] ?? at))));
}
