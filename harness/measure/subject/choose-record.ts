import type { Window } from '../observation.ts';
import type { Signal } from '../signals.ts';

/** What a record, taken or planned, is chosen by. */
export interface RecordCandidate {
  readonly signal: Signal;
  /** A channel's name, or the signal's own name where there is one only. */
  readonly of: string;
  /** When it was taken, s from the start of the condition. */
  readonly window: Window;
}

/** Which record a metric is after. */
export interface Wish {
  readonly of: string;
  /** The signals that the metric can work on, the preferred first. */
  readonly signals: readonly Signal[];
  readonly window: Window;
}

/**
 * The record of `of` by the first signal of the list that was captured; of several, each taken in a part of the condition,
 * the one that shares most with the window.
 */
export function chooseRecord<T extends RecordCandidate>(
  candidates: readonly T[],
  { of, signals, window }: Wish,
): T | undefined {
  for (const signal of signals) {
    const [first, ...others] = candidates.filter((one) => one.signal === signal && one.of === of);
    if (first)
      return others.reduce((a, b) => (shared(b, window) > shared(a, window) ? b : a), first);
  }
  for (const signal of signals) {
    const [only, ...others] = candidates.filter((one) => one.signal === signal);
    // `lamp` and a signal's own name mean the one record there is.
    if (only && others.length === 0 && (of === 'lamp' || of === signal)) return only;
  }
  return undefined;
}

/** Length of the window that a record covers, s. */
function shared({ window }: RecordCandidate, { from, to }: Window): number {
  return Math.min(to, window.to) - Math.max(from, window.from);
}
