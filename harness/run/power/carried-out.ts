import { figure } from '../figure.ts';
import { meanOfRecord } from '../records/mean-of-record.ts';
import type { RawRecord } from '../records/raw-record.ts';
import type { PowerChange, PowerState, PowerStory } from './power-story.ts';
import type { TimedReading } from './supply-doubt.ts';

/** What may show that the supply did what it confirmed. */
export interface ShownBy {
  /** Of the voltage at the lamp. */
  readonly voltages: readonly RawRecord[];
  readonly readings: readonly TimedReading[];
  /** Of light and currents. */
  readonly lamp: readonly RawRecord[];
}

/** Averages of so long, s. */
const averaged = 1e-3;
/** A gap of the lamp's light or current shows in averages of so long, s. */
const averagedLight = 5e-3;
/** An output that goes off shows when it has fallen by this part, whatever capacitors hold it up (common practice, no source). */
const fallen = 0.01;
/** Readings differ by so much from what they should be. */
const readBack = 0.03;
/** A smaller change of the voltage shows nowhere for certain: a part of it, and V. */
const leastPart = 0.02;
const leastVolts = 0.2;
/** Light or current that has gone is less than this part of what was before. */
const gone = 0.5;
/** Instants of commands and records are known to this, s, at least. */
const slack = 5e-3;
/** A record that reaches less far into a change than this part of it does not tell. */
const mostly = 0.5;

/**
 * The first order of a stimulus, to switch off or to another voltage, that a supply confirmed and that shows nowhere until the next one, in a
 * clause; null where each shows. A claim about what a lamp does through it would be true of a lamp that felt nothing.
 */
export function notCarriedOut(story: PowerStory, seen: ShownBy): string | null {
  for (const [index, change] of story.changes.entries()) {
    const until = story.changes[index + 1]?.to ?? Number.POSITIVE_INFINITY;
    const doubt = shows(change, until, seen);
    if (doubt !== null) return `${orderText(change)}, and it confirmed that, but ${doubt}`;
  }
  return null;
}

function shows(change: PowerChange, until: number, seen: ShownBy): string | null {
  const [before, after] = [terminal(change.before), terminal(change.after)];
  const most = Math.max(before, after);
  const step = Math.abs(before - after);
  // An output that comes on, and does not, is dark: its own readings and those of the voltage tell.
  const comes = !change.before.on;
  if (comes || step < Math.max(leastPart * most, leastVolts)) return null;
  const away = after < before ? -1 : 1;
  const [recorded] = seen.voltages.flatMap((record) => farthest(record, change, until, away) ?? []);
  if (recorded !== undefined) {
    const needed = change.after.on ? step / 2 : fallen * before;
    if (away * (recorded - before) >= needed) return null;
    return `nothing of it shows in the voltage at the lamp, which stays at ${figure(recorded)} V`;
  }
  if (
    isRead(change, until, seen.readings) ||
    (!change.after.on && isDark(change, until, seen.lamp))
  )
    return null;
  return 'nothing shows whether it did: no reading of it fell in that time. To tell, wire supply-voltage to the digitiser that records the claim';
}

/** The voltage farthest on the way from the order on until the next one, V; null where the record does not tell. */
function farthest(
  { raw }: RawRecord,
  { from, to }: PowerChange,
  until: number,
  away: number,
): number | null {
  const { rate, start, codes, standardStart = 0 } = raw;
  const margin = slack + 2 * standardStart;
  const end = start + codes.length / rate;
  const [begins, ends] = [Math.max(start, from - margin), Math.min(end, until + margin)];
  const told = Math.min(ends, until) - Math.max(begins, to);
  if (told <= 0 || told < mostly * (Math.min(until, end) - to)) return null;
  let most: number | null = null;
  for (let at = begins; at + averaged <= ends; at += averaged) {
    const volts = meanOf(raw, at, averaged);
    if (most === null || away * (volts - most) > 0) most = volts;
  }
  return most;
}

function meanOf(raw: RawRecord['raw'], at: number, length: number): number {
  const first = Math.round((at - raw.start) * raw.rate);
  const last = Math.min(raw.codes.length, first + Math.max(1, Math.round(length * raw.rate)));
  let sum = 0;
  for (let k = first; k < last; k++) sum += raw.codes[k] ?? 0;
  return (sum / (last - first)) * raw.scale + raw.offset;
}

function isRead(change: PowerChange, until: number, readings: readonly TimedReading[]): boolean {
  const [before, after] = [terminal(change.before), terminal(change.after)];
  const needed = change.after.on ? Math.abs(before - after) / 2 : readBack * before;
  return readings.some(
    ({ from, at, volts }) =>
      from >= change.from && at <= until && Math.abs(volts - before) >= needed,
  );
}

function isDark(change: PowerChange, until: number, records: readonly RawRecord[]): boolean {
  return records.some((record) => {
    const { mean: before } = meanOfRecord(record, { from: change.from - 0.1, to: change.from });
    const { standardOffset } = record.capture.wire;
    if (!(before > 10 * standardOffset)) return false;
    const { raw } = record;
    const end = Math.min(raw.start + raw.codes.length / raw.rate, until);
    for (let at = change.from; at + averagedLight <= end; at += averagedLight)
      if (meanOfRecord(record, { from: at, to: at + averagedLight }).mean < gone * before)
        return true;
    return false;
  });
}

function terminal({ volts, on }: PowerState): number {
  return on ? volts : 0;
}

function orderText({ from, before, after }: PowerChange): string {
  const what =
    before.on && !after.on ? 'switch its output off' : `change to ${figure(terminal(after))} V`;
  return `it was told to ${what} at ${from.toFixed(2)} s`;
}
