import { BenchError } from '../../bench/errors.ts';
import type { Commanded, SensorReading } from '../../measure/observation.ts';
import type { PlannedCapture } from '../../plan/captures/planned-capture.ts';
import type { Freshness } from '../../record/run-record.ts';
import type { RecordedColour } from '../records/pass-records.ts';
import type { ColourLooks } from './colour-looks.ts';

/** Two readings of so many digits are never the same by chance: each has noise. */
const tellingDigits = 6;
/** The lamp has followed a command after this, s, in which it may shine as before. */
const follows = 0.3;
/** Commanded light that differs by less than this factor may read the same on a coarse display. */
const otherLight = 1.5;
/** The lit lamp reads more than the dark one by this part at least. */
const clearly = 0.1;

/**
 * How the readings of each colour sensor of a pass are known to be new: the lit lamp reads as something else than it did
 * without power. Throws BenchError `stale` where a sensor hands over a reading again, and `garbled` where it calls
 * nothing at all a good reading of the lit lamp. What spectrometers computed is looked at for repeats alone.
 */
export function colourEvidence(
  readings: readonly RecordedColour[],
  captures: readonly PlannedCapture[],
  story: Commanded,
  looks: ColourLooks,
): readonly Freshness[] {
  const instruments = new Map(captures.map(({ id, wire }) => [id, wire.instrument]));
  const names = new Set(readings.map(({ capture }) => instruments.get(capture) ?? ''));
  return [...names].flatMap((instrument): readonly Freshness[] => {
    const own = readings.filter(({ capture }) => instruments.get(capture) === instrument);
    const good = own.filter(({ state }) => state === 'good');
    const dark = looks.get(instrument);
    // What is saturated stands at the end of its scale.
    mustNotRepeat(
      instrument,
      own.filter(({ state }) => state !== 'saturated'),
      story,
    );
    if (!dark) return [];
    const lit = good.filter((reading) => (commandedAt(story, reading) ?? 0) > 0);
    for (const reading of lit) {
      mustBeLight(instrument, reading);
      mustSeeBlue(instrument, reading, story);
    }
    if (lit.length === 0) return [];
    return [{ instrument, proof: provedBy(instrument, lit, dark) }];
  });
}

/** The dark look is not the lit lamp. */
function provedBy(
  instrument: string,
  lit: readonly SensorReading[],
  dark: SensorReading,
): Freshness['proof'] {
  const repeated = lit.find((reading) => same(reading, dark));
  if (repeated)
    throw stale(
      instrument,
      `it read ${words(dark)} with the lamp without power, and the same to the last digit of the lit lamp`,
    );
  const most = Math.max(...lit.map(({ Y }) => Y));
  return dark.state !== 'good' || most > (1 + clearly) * dark.Y ? 'light' : 'not proved';
}

function mustBeLight(instrument: string, { X, Y, Z, at }: SensorReading): void {
  if (Y > 0 || X > 0 || Z > 0) return;
  throw new BenchError(
    'garbled',
    instrument,
    `its reading at ${at.toFixed(2)} s is 0, 0, 0, and it calls that good, while the lamp was commanded to be lit. A dead sensor reads this, and so does a lamp that is dark: no colour can be told from it. Look at the sensor's head and cable, and at the lamp`,
  );
}

/** Channels that give less than this part of the Z that was commanded do not count, and Z is missing where so little of it is read. */
const counts = 0.1;
const missing = 0.01;
/** Z that was commanded, over Y: less may be none. */
const leastZ = 0.1;

/**
 * A head whose Z filter lets nothing through reads a yellow lamp. Where several channels were to give Z, and none of it is read, the lamp
 * is not to blame: not all of them are dark while the others shine.
 */
function mustSeeBlue(instrument: string, reading: SensorReading, story: Commanded): void {
  const parts = partsAt(story, reading);
  if (!parts) return;
  const [Y, Z] = [sumOf(parts.map((one) => one.Y)), sumOf(parts.map((one) => one.Z))];
  const giving = parts.filter((one) => one.Z > counts * Z);
  const enough = giving.length > 1 || parts.length === 1;
  if (!enough || Z < leastZ * Y || reading.Z > missing * (Z / Y) * reading.Y) return;
  throw new BenchError(
    'garbled',
    instrument,
    `its reading at ${reading.at.toFixed(2)} s is ${words(reading)}: next to no Z, where ${giving.length} channels were to give ${(Z / Y).toPrecision(2)} times as much as Y. Its Z filter or its amplifier seems to be dead: look at the head with another light`,
  );
}

/** Y and Z, lm, of each channel that was lit over a reading and shortly before it; null where the light changed meanwhile. */
function partsAt(
  { channels }: Commanded,
  { at, integration }: SensorReading,
): readonly { readonly Y: number; readonly Z: number }[] | null {
  const [from, to] = [at - integration / 2 - follows, at + integration / 2];
  const parts: { Y: number; Z: number }[] = [];
  for (const { lumen, xy, segments } of channels) {
    const meant = segments.filter((segment) => segment.from < to && segment.to > from);
    const levels = new Set(meant.flatMap(({ startLevel, endLevel }) => [startLevel, endLevel]));
    if (levels.size > 1) return null;
    const [x, y] = xy;
    for (const level of levels)
      if (level > 0) parts.push({ Y: lumen * level, Z: (lumen * level * (1 - x - y)) / y });
  }
  return parts;
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

/** Figures that come again to the last digit are the reading before, handed over once more. */
function mustNotRepeat(
  instrument: string,
  readings: readonly SensorReading[],
  story: Commanded,
): void {
  for (const [index, reading] of readings.entries()) {
    const twin = readings
      .slice(0, index)
      .find((other) => same(other, reading) && differs(other, reading, story));
    if (!twin) continue;
    throw stale(
      instrument,
      `it read ${words(reading)} at ${twin.at.toFixed(2)} s and the same to the last digit at ${reading.at.toFixed(2)} s`,
    );
  }
}

/** Chance does not make them the same: too many digits, or another light was commanded. */
function differs(one: SensorReading, other: SensorReading, story: Commanded): boolean {
  if (Math.max(...[one.X, one.Y, one.Z].map(digits)) >= tellingDigits) return true;
  const [before, after] = [commandedAt(story, one), commandedAt(story, other)];
  if (before === null || after === null) return false;
  return Math.max(before, after) > otherLight * Math.min(before, after);
}

function stale(instrument: string, clause: string): BenchError {
  return new BenchError(
    'stale',
    instrument,
    `${clause}; expected another reading, as noise and light change. It hands over an old one: look at how it is triggered, and at its profile`,
  );
}

function same(one: SensorReading, other: SensorReading): boolean {
  return one.X === other.X && one.Y === other.Y && one.Z === other.Z && one.Y !== 0;
}

/** Significant digits. */
function digits(value: number): number {
  return value.toExponential().replace(/e.*$/, '').replace(/\D/g, '').length;
}

/** The light that was commanded over a reading and shortly before it, lm; null where it changed meanwhile. */
function commandedAt(story: Commanded, reading: SensorReading): number | null {
  const parts = partsAt(story, reading);
  return parts && sumOf(parts.map(({ Y }) => Y));
}

function words({ X, Y, Z }: SensorReading): string {
  return `${X}, ${Y}, ${Z}`;
}
