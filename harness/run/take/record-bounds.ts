import { BenchError } from '../../bench/errors.ts';
import type { RawCapture } from '../../bench/ports.ts';
import { halfWidth, somewhereBetween } from '../../bench/record-start.ts';

/** What the engine itself saw of a record: instants on the bench's clock, s. */
export interface SeenOfRecord {
  /** Just before the digitiser was armed. */
  readonly called: number;
  /** When it had said that sampling has begun. */
  readonly armed: number;
  /** When the record had been handed over. */
  readonly finished: number;
  /** Length that was asked for, s. */
  readonly duration: number;
}

/** A clock of 200 ppm, and what a computer's own clock may lack: nothing is told from less. */
const clockPart = 2e-4;
const clockStep = 2e-3;
/** Handed over by so long after its end, a record bears out that it began when its digitiser said so, s. */
const prompt = 0.05;
/** A record whose length differs by more than this part, and two samples, is not the one that was asked for. */
const otherLength = 0.01;

/**
 * A record as far as its start is borne out by what was seen from outside: it cannot have begun before its digitiser was
 * armed, nor so late that it was handed over before it had lasted. A driver that states how well it knows the start is held
 * to that; one that does not is believed where the record came promptly, and otherwise its start is anywhere between.
 * Throws BenchError `stale` where the record cannot be the one that was armed, `late` where its start cannot be true.
 */
export function boundedRecord(
  raw: RawCapture,
  instrument: string,
  { called, armed, finished, duration }: SeenOfRecord,
): RawCapture {
  const fail = (kind: 'stale' | 'late', why: string): BenchError =>
    new BenchError(kind, instrument, `the record of input ${raw.input} ${why}`);
  const length = raw.codes.length / raw.rate;
  if (Math.abs(length - duration) > otherLength * duration + 2 / raw.rate)
    throw fail(
      'stale',
      `is ${seconds(length)} long; expected ${seconds(duration)}, as it was armed; is it an older record?`,
    );
  const slack = clockStep + clockPart * length;
  const latest = finished - length;
  if (latest < called - slack)
    throw fail(
      'stale',
      `of ${seconds(length)} was handed over ${seconds(finished - called)} after it was armed; expected a new record, which takes its time; is it an older one?`,
    );
  const { start, standardStart } = raw;
  if (standardStart === undefined) {
    const until = latest - armed > prompt ? latest : Math.min(latest, armed);
    return { ...raw, ...somewhereBetween(called, Math.max(called, until)) };
  }
  const doubt = halfWidth(standardStart) + slack;
  if (start + doubt < called || start - doubt > latest)
    throw fail(
      'late',
      `began ${seconds(start - called)} after its digitiser was armed, as its driver says; expected 0 s to ${seconds(latest - called)}, since it was handed over ${seconds(finished - called)} after that; let the driver state a start, and how well it is known, that can be true`,
    );
  return raw;
}

function seconds(value: number): string {
  return `${value.toFixed(3)} s`;
}
