import type { SupplyReading } from '../../bench/ports.ts';
import { figure } from '../figure.ts';
import type { PowerStory } from './power-story.ts';
import { deliversText, stillDelivers } from './still-delivers.ts';

/** A reading, asked for at `from` and answered at `at`, s on the condition's time line. */
export interface TimedReading extends SupplyReading {
  readonly from: number;
  readonly at: number;
}

/** A sound supply reads back what was set within this, relative, and within so many volts: as its port promises. */
const readBack = 0.03;
const atLeast = 0.1;

/**
 * The first sign that the supply did not deliver what it was told to, in a clause; null where there is none. Readings in
 * their order; protections of each have acted since the one before.
 */
export function supplyDoubt(readings: readonly TimedReading[], story: PowerStory): string | null {
  for (const [index, reading] of readings.entries()) {
    const since = readings[index - 1]?.at ?? reading.from;
    const doubt = stateDoubt(reading, story) ?? protectionDoubt(reading, since, story);
    if (doubt === null) continue;
    return `${doubt}; ${drawnBefore(readings.slice(0, index + 1))}`;
  }
  return null;
}

function stateDoubt(reading: TimedReading, story: PowerStory): string | null {
  const { from, at, volts, amps, on, mode } = reading;
  const expected = story.between(from, at);
  if (!expected) return null;
  const found = `${figure(volts)} V and ${figure(amps)} A at ${at.toFixed(2)} s`;
  const protections = reading.protections?.length
    ? `, and it reports: ${reading.protections.join(', ')}`
    : '';
  if (on !== expected.on)
    return expected.on
      ? `its output was off at ${at.toFixed(2)} s, where it was to be on at ${figure(expected.most)} V${protections}`
      : `its output was on (${found}), where it was to be off`;
  const { least, most, settling, lowered } = expected;
  const delivers = lowered !== null && stillDelivers(reading, lowered);
  if (!expected.on) return delivers ? deliversText(reading, lowered.since) : null;
  const limited = mode === 'current' && !settling ? ', in current limit' : '';
  const tolerated = readBack * most + atLeast;
  if (volts < least - tolerated || volts > most + tolerated || limited !== '')
    return `it says that its output is on, but it gave ${found}${limited}, where ${figure(most)} V were set${protections}`;
  if (delivers)
    return `it gave ${found}, ${lowered.since.toFixed(1)} s after ${figure(lowered.after)} V were set`;
  return null;
}

/** A trip may have come and gone between two readings. */
function protectionDoubt(
  { at, volts, on, protections = [] }: TimedReading,
  since: number,
  story: PowerStory,
): string | null {
  if (protections.length === 0 || story.changedWithin(since, at)) return null;
  const now = on ? `it is on at ${figure(volts)} V again` : 'its output is off as it should be';
  return `it reports ${protections.join(', ')} between ${since.toFixed(2)} s and ${at.toFixed(2)} s, although ${now}`;
}

function drawnBefore(readings: readonly TimedReading[]): string {
  let most = 0;
  for (const { amps } of readings) most = Math.max(most, amps);
  return `the lamp had drawn up to ${figure(most)} A`;
}
