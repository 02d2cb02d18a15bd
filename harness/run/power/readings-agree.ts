import { BenchError } from '../../bench/errors.ts';
import type { Commanded, Window } from '../../measure/observation.ts';
import { figure } from '../figure.ts';
import { meanOfRecord } from '../records/mean-of-record.ts';
import type { RawRecord } from '../records/raw-record.ts';
import type { PowerStory } from './power-story.ts';
import { voltageBlocks } from './recorded-voltage.ts';
import { meterLag, meterZero } from './still-delivers.ts';
import type { TimedReading } from './supply-doubt.ts';

/** An input and the supply's own meter may differ by so much of the greater, and by the zero of the meter (common practice, no source). */
const differ = 0.15;
/** All means of a record that is wrong by its scale alone are wrong by the same part, within this. */
const alike = 0.02;
/** The lamp has followed a command after this, s. */
const follows = 0.4;
/** Shortest part of a record that is held against a reading, s. */
const shortest = 0.05;

/**
 * The voltage at the lamp as it was recorded, where all of it is off by one factor and the supply reads what it was told to give: what
 * the input then reads, in a clause; null where it does not. Its readings are sound.
 */
export function voltageInputDoubt(record: RawRecord, story: PowerStory): string | null {
  const parts = [...voltageBlocks(record.raw, story)].flatMap(({ volts, expected }) =>
    expected.on && !expected.settling ? [volts / expected.most] : [],
  );
  if (parts.length === 0) return null;
  const mean = parts.reduce((sum, part) => sum + part, 0) / parts.length;
  if (Math.abs(mean - 1) <= differ / 3 || parts.some((part) => Math.abs(part - mean) > alike))
    return null;
  const { volts } = story.present;
  return `reads a mean of ${figure(mean * volts)} V all the time, where the supply says that it gives ${figure(volts)} V`;
}

/** Throws BenchError `garbled` where an input of the supply's current reads another one than the supply does, while neither changes. */
export function currentMustAgree(
  records: readonly RawRecord[],
  readings: readonly TimedReading[],
  { story, commanded }: { readonly story: PowerStory | null; readonly commanded: Commanded },
): void {
  for (const record of records) {
    if (record.capture.signal !== 'supply-current') continue;
    for (const { from, at, on, amps, mode } of readings) {
      const window = { from: from - meterLag, to: at };
      if (!on || mode === 'current' || !isSteady(commanded, window)) continue;
      if (story?.changedWithin(window.from, window.to)) continue;
      const { mean, covered } = meanOfRecord(record, window);
      if (covered < shortest || covered < 0.9 * (window.to - window.from)) continue;
      if (currentsAgree(mean, amps)) continue;
      throw inputError(
        record,
        `reads a mean of ${figure(mean)} A at ${at.toFixed(2)} s, where the supply says that it draws ${figure(amps)} A`,
      );
    }
  }
}

/** A current by an input, and by the meter of the supply, A. */
export function currentsAgree(one: number, other: number): boolean {
  const most = Math.max(Math.abs(one), Math.abs(other));
  return Math.abs(one - other) <= differ * most + meterZero;
}

/** Two instruments say different things of the same: `clause` goes on from the input's name. */
export function inputError({ capture, raw }: RawRecord, clause: string): BenchError {
  const { instrument } = capture.wire;
  return new BenchError(
    'garbled',
    instrument,
    `input ${raw.input} ${clause}: two instruments contradict each other about the same, so that neither is believed. Look at the input's cable, probe or divider, at the scale of its wire, and at the supply's own meter`,
  );
}

/** One light was commanded all the time, and for long enough before. */
function isSteady({ channels }: Commanded, { from, to }: Window): boolean {
  return channels.every(({ segments }) => {
    const meant = segments.filter((one) => one.from < to && one.to > from - follows);
    return new Set(meant.flatMap(({ startLevel, endLevel }) => [startLevel, endLevel])).size <= 1;
  });
}
