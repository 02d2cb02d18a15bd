import { fault } from './analysis/soundness.ts';
import type { Need } from './metric.ts';
import type {
  ColourReading,
  CommandedChannel,
  DimmingCurve,
  Observation,
  SignalRecord,
  Window,
} from './observation.ts';
import { type NotMeasurable, notMeasurable } from './outcome.ts';
import { keptFor } from './signal/memoise.ts';
import { type Signal, signals } from './signals.ts';
import { samplesWithin, type Waveform, windowed } from './waveform.ts';

/**
 * What of an observation a metric is about: the record of `of` by the first signal of the list that was captured; of
 * several, each taken in a part of the condition, the one that shares most with the window.
 */
export function recordOf(
  { records, of, window: whole }: Observation,
  wanted: readonly Signal[],
  window: Window = whole,
): SignalRecord | NotMeasurable {
  for (const signal of wanted) {
    const own = records.filter((record) => record.signal === signal && record.of === of);
    if (own.length > 0)
      return own.reduce((a, b) => (shared(b, window) > shared(a, window) ? b : a));
  }
  for (const signal of wanted) {
    const only = records.filter((record) => record.signal === signal);
    // `lamp` and a signal's own name mean the one record there is.
    if (only.length === 1 && (of === 'lamp' || of === signal)) return only[0]!;
  }
  return notMeasurable('no-record', { note: `no ${wanted.join(' or ')} of ${of}` });
}

/** Length of the window that a record covers, s. */
function shared({ sampling }: SignalRecord, { from, to }: Window): number {
  const { start, length, rate } = sampling;
  return Math.min(to, start + length / rate) - Math.max(from, start);
}

/** The subject's whole record, sound and fast enough for `need`; samples are checked within `window`. */
export function waveformOf(
  observation: Observation,
  need: Need,
  window: Window = observation.window,
): Waveform | NotMeasurable {
  const record = recordOf(observation, need.signals, window);
  if (!('waveform' in record)) return record;
  return soundIn(record, need, window) ?? record.waveform;
}

/** The subject's record cut to a window, sound and fast enough for `need`. */
export function windowOf(
  observation: Observation,
  need: Need,
  window: Window = observation.window,
): Waveform | NotMeasurable {
  const waveform = waveformOf(observation, need, window);
  return isRecord(waveform) ? windowed(waveform, window.from, window.to) : waveform;
}

/** Needs are round figures: a record that falls short of one by this part, as by a slow clock, still meets it. */
const roundness = 1e-3;

/** What is wrong with a record in a window, or null. A record that falls short of the need is refused unread. */
export function soundIn(
  record: SignalRecord,
  need: Need,
  window: Window,
  { clipping = 'counts' }: { readonly clipping?: 'counts' | 'is expected' } = {},
): NotMeasurable | null {
  const short = shortOf(need, record, window);
  if (short) return short;
  const { signal, of, waveform } = record;
  const judged = clipping === 'counts' ? waveform : { ...waveform, clipped: 0 };
  const wrong = fault(windowed(judged, window.from, window.to), signals[signal].unsigned);
  return wrong ? notMeasurable(wrong, { note: of }) : null;
}

/** What the record lacks of the need, by how it was sampled; null when nothing. */
function shortOf(
  need: Need,
  { of: note, sampling }: SignalRecord,
  { from, to }: Window,
): NotMeasurable | null {
  const { rate, bandwidth } = sampling;
  const { first, last } = samplesWithin(sampling, from, to);
  if (need.rate !== undefined && rate < need.rate * (1 - roundness)) {
    return notMeasurable('too-slow', { found: rate, needed: need.rate, unit: 'Hz', note });
  }
  if (last === first) return notMeasurable('empty', { note });
  const length = (last - first) / rate;
  if (need.duration !== undefined && length < need.duration * (1 - roundness) - 0.5 / rate) {
    return notMeasurable('too-short', { found: length, needed: need.duration, unit: 's', note });
  }
  if (need.bandwidth !== undefined && bandwidth !== undefined && bandwidth < need.bandwidth) {
    const needed = need.bandwidth;
    return notMeasurable('too-narrow', { found: bandwidth, needed, unit: 'Hz', note });
  }
  return null;
}

export function isRecord<T extends object>(value: T | NotMeasurable): value is T {
  return !('measured' in value);
}

/** The commanded channels that the subject is made of, each with its weight: one channel, or all of them by lumen. */
export function parts({ of, commanded }: Observation): readonly Part[] {
  const own = commanded.channels.find(({ channel }) => channel === of);
  if (own) return [{ channel: own, weight: 1 }];
  const full = commanded.channels.reduce((sum, { lumen }) => sum + lumen, 0);
  return commanded.channels.map((channel) => ({ channel, weight: channel.lumen / (full || 1) }));
}

export interface Part {
  readonly channel: CommandedChannel;
  readonly weight: number;
}

/** Commanded level of the subject at an instant, relative to its full light. */
export function commandedLevel(observation: Observation, at: number): number {
  const { curve } = observation.commanded;
  return parts(observation).reduce(
    (sum, { channel, weight }) => sum + weight * channelLevel(channel, curve, at),
    0,
  );
}

/** Place of the first segment that ends after an instant, or else of the last: thousands after a storm of commands. */
function segmentAt(segments: CommandedChannel['segments'], at: number): number {
  let [from, to] = [0, segments.length - 1];
  while (from < to) {
    const middle = (from + to) >> 1;
    if (at < segments[middle]!.to) to = middle;
    else from = middle + 1;
  }
  return from;
}

/** Commanded level of one channel at an instant, relative to its full light. */
export function channelLevel(
  { segments }: CommandedChannel,
  { kind }: DimmingCurve,
  at: number,
): number {
  const segment = segments[segmentAt(segments, at)];
  if (!segment) return 0;
  const { from, to, startLevel, endLevel } = segment;
  const part = to > from ? Math.min(1, Math.max(0, (at - from) / (to - from))) : 1;
  if (startLevel === endLevel) return endLevel;
  return kind === 'linear' || startLevel <= 0 || endLevel <= 0
    ? startLevel + (endLevel - startLevel) * part
    : startLevel * (endLevel / startLevel) ** part;
}

/** Mean of the commanded level over a window: by segment, so that short ones are not missed. */
export function commandedMean(observation: Observation, { from, to }: Window): number {
  if (!(to > from)) return commandedLevel(observation, from);
  return keptFor(observation.commanded, `mean of ${observation.of} ${from} ${to}`, () => {
    const slices = 400;
    let sum = 0;
    for (let index = 0; index < slices; index++) {
      sum += commandedLevel(observation, from + ((index + 0.5) / slices) * (to - from));
    }
    return sum / slices;
  });
}

/** Instants at which the subject's commanded level changes its course, inside (from, to). */
export function turningPoints(observation: Observation, { from, to }: Window): readonly number[] {
  const all = parts(observation).flatMap(({ channel }) =>
    channel.segments.slice(1).map((segment) => segment.from),
  );
  const inside = all.filter((at) => at > from && at < to);
  return [...new Set(inside)].sort((a, b) => a - b);
}

/** Is the commanded level the same over the whole window? */
export function isSteady(observation: Observation, window: Window): boolean {
  return parts(observation).every(({ channel }) => {
    const met = channel.segments.filter(({ from, to }) => to > window.from && from < window.to);
    return met.every(
      ({ startLevel, endLevel }) => startLevel === endLevel && startLevel === met[0]!.startLevel,
    );
  });
}

/** Colour readings whose integration lies wholly in the window, of the lamp or of one channel. */
export function readingsIn(
  { colour, of }: Observation,
  { from, to }: Window,
): readonly ColourReading[] | NotMeasurable {
  const subject = of === 'light' || of === 'colour' ? 'lamp' : of;
  const edge = 1e-6;
  const inside = colour.filter(
    ({ at, integration, of: whose }) =>
      whose === subject && at - integration / 2 >= from - edge && at + integration / 2 <= to + edge,
  );
  if (colour.length === 0) return notMeasurable('no-record', { note: 'no colour readings' });
  if (inside.length === 0)
    return notMeasurable('empty', { note: `no colour reading of ${subject} in the window` });
  if (inside.some(({ state }) => state === 'saturated')) return notMeasurable('saturated');
  if (inside.some(({ state }) => state === 'under-range'))
    return notMeasurable('below-noise', { note: 'colour sensor under range' });
  if (inside.some(({ X, Y, Z }) => !Number.isFinite(X + Y + Z))) return notMeasurable('not-finite');
  if (inside.some(isNegative)) return notMeasurable('negative-light');
  if (inside.some(({ X, Y, Z }) => X + Y + Z <= 0 || Y <= 0)) return notMeasurable('dark');
  return inside;
}

/** Noise may push one of the three a little below zero near the sensor's floor. */
const negativePart = 0.02;

function isNegative({ X, Y, Z }: ColourReading): boolean {
  return Math.min(X, Y, Z) < -negativePart * Math.max(Math.abs(X), Math.abs(Y), Math.abs(Z));
}
