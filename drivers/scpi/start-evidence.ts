import { somewhereBetween } from '../../harness/bench/record-start.ts';

/** What an instrument's answers say of when its record began and ended; instants on the clock, s. */
export interface StartEvidence {
  /** Just before the order to sample was sent. */
  readonly armed: number;
  /** Just before the last query that was answered with "not begun yet"; `armed` where none was. */
  readonly notBegun: number;
  /** When it had said that sampling has begun, or had taken the order. */
  readonly begun: number;
  /** Just before the last query that was answered with "not complete yet"; absent where none was. */
  readonly notComplete?: number;
  /** When it had said that the record is complete. */
  readonly complete: number;
}

/** The answers contradict one another by more than this: nobody knows when the record began, s. README and PROFILES.md state it. */
const mostContradiction = 0.05;

/** A clock of 200 ppm, and what a computer's own clock may lack: nothing is told from less. */
export const clockPart = 2e-4;
const clockStep = 2e-3;

export type RecordStart =
  | { readonly start: number; readonly standardStart: number }
  | { readonly kind: 'stale' | 'late'; readonly why: string };

/**
 * When a record of `duration` s began. It cannot have begun before it was ordered, nor so late that it was complete before it had
 * lasted; both hold whatever the instrument says. What it says narrows that, where it does not contradict itself: then
 * all that is left is what holds whatever it says, or an error.
 * `lag`: so long after its last sample it may still say that the record is not complete, s.
 */
export function recordStart(evidence: StartEvidence, duration: number, lag: number): RecordStart {
  const { armed, notBegun, begun, notComplete, complete } = evidence;
  const slack = clockStep + clockPart * duration;
  const latest = complete - duration;
  const earliest = Math.max(armed, notBegun);
  if (latest < earliest - slack)
    return {
      kind: 'stale',
      why: `it said that its record of ${seconds(duration)} is complete ${seconds(complete - earliest)} after it began; expected a new record, which takes its time; is it still the record before?`,
    };
  const from = Math.max(earliest, (notComplete ?? armed) - duration - lag);
  const to = Math.min(begun, latest);
  const apart = from - to;
  if (apart <= slack) return somewhereBetween(Math.min(from, to), Math.max(from, to));
  if (apart > mostContradiction)
    return {
      kind: 'late',
      why: `it said that sampling had begun, but was not ready ${seconds(apart)} after such a record had to be complete; expected at most ${seconds(mostContradiction)}; does its trigger come late? If it is only slow to say so, state "lag" in its profile`,
    };
  return somewhereBetween(Math.min(earliest, latest), Math.max(earliest, latest));
}

function seconds(value: number): string {
  return `${value.toFixed(3)} s`;
}
