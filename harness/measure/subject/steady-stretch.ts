import { samplingOf, windowed } from '../analysis/waveform-part.ts';
import type { Commanded, SignalRecord, Window } from '../observation.ts';
import { neighbours } from '../signal/pairs.ts';
import { spanOf, type Waveform } from '../waveform.ts';
import { commandedLevel, isSteady, turningPoints } from './commanded-light.ts';

/** Part of a stretch, from its start, in which the light may still be on its way. */
const settling = 0.4;

/**
 * The longest part of a record, within a window, over which nothing was commanded to change: its settled part where a
 * change went before, all of the window where nobody has said what was commanded. Null where there is none.
 */
export function longestSteady(
  record: SignalRecord,
  commanded: Commanded,
  within: Window,
): Waveform | null {
  return longest(record, stretchesOf(record, commanded, within));
}

/** The longest part of a record over which the subject was commanded dark, or null. */
export function longestDark(record: SignalRecord, commanded: Commanded): Waveform | null {
  if (commanded.channels.length === 0) return null;
  const span = spanOf(samplingOf(record.waveform));
  const subject = { of: record.of, commanded };
  const dark = stretchesOf(record, commanded, span).filter(
    ({ from, to }) => commandedLevel(subject, (from + to) / 2) === 0,
  );
  return longest(record, dark);
}

/** Settled stretches of one commanded level each. */
function stretchesOf(
  { of, waveform }: SignalRecord,
  commanded: Commanded,
  within: Window,
): readonly Window[] {
  const subject = { of, commanded };
  const span = spanOf(samplingOf(waveform));
  const window = { from: Math.max(span.from, within.from), to: Math.min(span.to, within.to) };
  const cuts = [window.from, ...turningPoints(subject, window), window.to];
  return neighbours(cuts)
    .map(([from, to]) => ({ from, to }))
    .filter((stretch) => isSteady(subject, stretch))
    .map(({ from, to }) => ({
      from: from === window.from ? from : from + settling * (to - from),
      to,
    }));
}

function longest({ waveform }: SignalRecord, stretches: readonly Window[]): Waveform | null {
  const [first, ...others] = stretches;
  if (!first) return null;
  const best = others.reduce((a, b) => (b.to - b.from > a.to - a.from ? b : a), first);
  return windowed(waveform, best.from, best.to);
}
