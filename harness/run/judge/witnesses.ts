import { BenchError } from '../../bench/errors.ts';
import type { Commanded, Window } from '../../measure/observation.ts';
import { figure } from '../figure.ts';
import type { TimedReading } from '../power/supply-doubt.ts';
import { meanOfRecord } from '../records/mean-of-record.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { RawRecord } from '../records/raw-record.ts';

/** What was seen of the lamp beside a record. */
interface Seen {
  readonly records: PassRecords;
  readonly story: Commanded;
  /** Of the supply, where the rig has one. */
  readonly readings: readonly TimedReading[];
}

/** Of the most light that was commanded: less may be within a meter's zero. */
const plainly = 0.05;
/** The lamp has followed a command after this, s, and its supply's meter as well. */
const follows = 0.4;
/** Shortest stretch that is looked at, s. */
const shortest = 0.1;
/** A mean that is no light: so many standard uncertainties of the input's zero, or of its noise over a hundred samples. */
const leastLight = 10;
/** Beside a supply that feeds a lit lamp this part of full scale is no light either: what drift leaves behind a capacitor. */
const residue = 1e-3;
/** The lit lamp draws this much more than the dark one: by this part of it, and by so many A. */
const morePart = 1;
const moreAmps = 0.05;

/**
 * Throws BenchError `garbled` where every record of light, or of the channels' currents, is dark while the lamp was to be lit,
 * and something else saw it lit: the supply's readings, its colour, or the other signal. A dead input, one that is not
 * plugged in or that is coupled to AC reads the same as a lamp without light.
 */
export function mustNotContradict(seen: Seen): void {
  for (const stretch of litStretches(seen.story))
    for (const signal of ['light', 'channel-current'] as const) {
      const own = seen.records.waveforms.filter(({ capture }) => capture.signal === signal);
      const read = own.map((record) => ({ record, mean: meanOver(record, stretch) }));
      const told = read.filter(({ mean }) => mean !== null);
      const [first] = told;
      const all = (dark: typeof isDark) =>
        told.every(({ record, mean }) => dark(record, mean ?? 0));
      if (!first || !all(isFaint)) continue;
      const witness =
        (all(isDark) ? witnessOf(signal, stretch, seen) : null) ??
        drawn(stretch, seen.story, seen.readings);
      if (witness !== null) throw contradiction(first.record, first.mean ?? 0, stretch, witness);
    }
}

function contradiction(
  { capture, raw }: RawRecord,
  mean: number,
  { from, to }: Window,
  witness: string,
): BenchError {
  const { unit, instrument } = capture.wire;
  return new BenchError(
    'garbled',
    instrument,
    `input ${raw.input} reads a mean of ${figure(mean)} ${unit} from ${from.toFixed(2)} s to ${to.toFixed(2)} s, where the lamp was to be lit, but ${witness}. Either the input is dead (not plugged in, covered, coupled to AC), or the lamp turns its power into no light: look at the sensor and its cable, then at the lamp`,
  );
}

/** Who saw the lamp lit in that time, in a clause; null where nobody did. */
function witnessOf(
  signal: 'light' | 'channel-current',
  stretch: Window,
  { records }: Seen,
): string | null {
  const colour = records.colour.find(
    ({ at, state, Y }) => within(at, stretch) && state === 'good' && Y > 0,
  );
  if (colour) return `the colour sensor reads ${figure(colour.Y)} lx at ${colour.at.toFixed(2)} s`;
  for (const record of records.waveforms) {
    const { capture, raw } = record;
    if (capture.signal === signal || !['light', 'channel-current'].includes(capture.signal))
      continue;
    const mean = meanOver(record, stretch);
    if (mean !== null && mean > 0 && !isDark(record, mean))
      return `input ${raw.input} of ${capture.wire.instrument} reads ${figure(mean)} ${capture.wire.unit} of ${capture.signal} at the same time`;
  }
  return null;
}

/** More than the dark lamp draws. */
function drawn(
  stretch: Window,
  { channels }: Commanded,
  readings: readonly TimedReading[],
): string | null {
  const isDarkAt = (at: number): boolean =>
    channels.every(({ segments }) =>
      segments
        .filter(({ from, to }) => from <= at && to > at - follows)
        .every(({ startLevel, endLevel }) => startLevel === 0 && endLevel === 0),
    );
  const on = readings.filter((reading) => reading.on);
  const idle = on.filter(({ at }) => isDarkAt(at)).map(({ amps }) => amps);
  const lit = on.filter(({ from, at }) => within(from, stretch) && within(at, stretch));
  if (idle.length === 0 || lit.length === 0) return null;
  const least = Math.min(...lit.map(({ amps }) => amps));
  const most = Math.max(...idle);
  if (least < most + Math.max(moreAmps, morePart * most)) return null;
  return `the supply says that it draws ${figure(least)} A then, and ${figure(most)} A while it was to be dark`;
}

/** Times over which one light was commanded, and plainly some. */
function litStretches({ channels, duration }: Commanded): Window[] {
  const turns = channels.flatMap(({ segments }) => segments.map(({ from }) => from));
  const instants = [...new Set([0, ...turns, duration])]
    .filter((at) => at >= 0 && at <= duration)
    .sort((one, other) => one - other);
  const lights = channels.map(levelsInOrder);
  const parts = instants.slice(1).map((to, index) => {
    const from = instants[index] ?? to;
    return { from, to, light: lightAt(lights, (from + to) / 2) };
  });
  const most = Math.max(...parts.map(({ light }) => light ?? 0), 0);
  return parts
    .filter(({ light }) => light !== null && light > 0 && light >= plainly * most)
    .map(({ from, to }) => ({ from: from + follows, to }))
    .filter(({ from, to }) => to - from >= shortest);
}

type LevelAt = (at: number) => number | null;

/** lm; null where it moves. */
function lightAt(lights: readonly LevelAt[], at: number): number | null {
  let sum = 0;
  for (const levelAt of lights) {
    const light = levelAt(at);
    if (light === null) return null;
    sum += light;
  }
  return sum;
}

/** A channel's light (lm), asked for in rising order of time: storms of commands leave thousands of segments. Null where it moves. */
function levelsInOrder({ lumen, segments }: Commanded['channels'][number]): LevelAt {
  let place = 0;
  return (at) => {
    while ((segments[place]?.to ?? Number.POSITIVE_INFINITY) <= at) place++;
    const now = segments[place];
    if (!now || now.from > at) return 0;
    return now.startLevel === now.endLevel ? lumen * now.startLevel : null;
  };
}

function isFaint(record: RawRecord, mean: number): boolean {
  return isDark(record, mean) || Math.abs(mean) <= residue * record.capture.wire.fullScale;
}

function isDark({ capture }: RawRecord, mean: number): boolean {
  const { standardOffset, noise } = capture.wire;
  return Math.abs(mean) <= leastLight * Math.max(standardOffset, noise / 10);
}

/** In the unit of the wire; null where the record does not cover it. */
function meanOver(record: RawRecord, stretch: Window): number | null {
  const { mean, covered } = meanOfRecord(record, stretch);
  return covered < shortest ? null : mean;
}

function within(at: number, { from, to }: Window): boolean {
  return at >= from && at <= to;
}
