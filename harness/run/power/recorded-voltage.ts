import type { RawCapture } from '../../bench/ports.ts';
import { figure } from '../figure.ts';
import type { Expected, PowerStory } from './power-story.ts';

/** Averages of so long, s: a gap of a millisecond or two shows, noise and ripple of switching do not. */
const averaged = 1e-3;
/** A supply gives no more than it was set to, within this and so many volts, as its readings do … */
const above = 0.03;
const atLeast = 0.1;
/** … and no less but for wires and connectors on the way to the lamp, relative (common practice, no source). */
const below = 0.1;
/** An output that went off has fallen by this part after so long, s, whatever capacitors hold it up (common practice, no source). */
const fallen = 0.01;
const falling = 0.3;
/** Instants of commands and records are known to this, s, at least. */
const slack = 5e-3;

/**
 * The first sign in a record of the voltage at the lamp that its supply did not give what it was told to, in a clause; null where there is
 * none. It tells what the supply's own readings hide: gaps between them, and words that are not true. `raw` in V, on the condition's
 * time line.
 */
export function recordedDoubt(raw: RawCapture, story: PowerStory): string | null {
  for (const block of voltageBlocks(raw, story)) {
    const doubt = blockDoubt(block);
    if (doubt) return doubt;
  }
  return null;
}

/** A mean of the record, and what it was to be. */
interface VoltageBlock {
  /** s on the condition's time line, and how well it is known at most. */
  readonly at: number;
  readonly margin: number;
  readonly volts: number;
  readonly expected: Expected;
}

/** Means of a record in V over a millisecond each, without those in which the supply was being changed. */
export function* voltageBlocks(raw: RawCapture, story: PowerStory): Generator<VoltageBlock> {
  const { rate, start, standardStart = 0 } = raw;
  const width = Math.max(1, Math.round(averaged * rate));
  const margin = slack + 2 * standardStart;
  for (let first = 0; first + width <= raw.codes.length; first += width) {
    const [at, to] = [start + first / rate, start + (first + width) / rate];
    const expected = story.between(at - margin, to + margin);
    if (expected) yield { at, margin, volts: meanOf(raw, first, width), expected };
  }
}

function blockDoubt({ at, margin, volts, expected }: VoltageBlock): string | null {
  const { on, least, most, settling, lowered } = expected;
  const found = `${figure(volts)} V at the lamp were recorded at ${at.toFixed(3)} s`;
  if (!on) {
    const since = (lowered?.since ?? 0) - margin;
    if (!lowered || since < falling || volts < (1 - fallen) * lowered.before) return null;
    return `${found}, ${since.toFixed(1)} s after its output was switched off`;
  }
  if (settling) return null;
  if (volts > most * (1 + above) + atLeast || volts < least * (1 - below) - atLeast)
    return `${found}, where ${figure(most)} V were set and its output was to be on`;
  return null;
}

function meanOf({ codes, scale, offset }: RawCapture, first: number, width: number): number {
  let sum = 0;
  for (let k = first; k < first + width; k++) sum += codes[k] ?? 0;
  return (sum / width) * scale + offset;
}
