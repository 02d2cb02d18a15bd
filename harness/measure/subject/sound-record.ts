import { type Allowed, sampleDefect } from '../analysis/sample-defect.ts';
import { samplesWithin, windowed } from '../analysis/waveform-part.ts';
import type { Need } from '../metric.ts';
import type { Observation, SignalRecord, Window } from '../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../outcome.ts';
import { type Signal, signals } from '../signals.ts';
import type { Waveform } from '../waveform.ts';

/**
 * What of an observation a metric is about: the record of `of` by the first signal of the list that was captured; of
 * several, each taken in a part of the condition, the one that shares most with the window.
 */
export function subjectRecord(
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
    const [record] = only;
    if (record && only.length === 1 && (of === 'lamp' || of === signal)) return record;
  }
  return notMeasurable('no-record', { note: `no ${wanted.join(' or ')} of ${of}` });
}

/** Length of the window that a record covers, s. */
function shared({ sampling }: SignalRecord, { from, to }: Window): number {
  const { start, length, rate } = sampling;
  return Math.min(to, start + length / rate) - Math.max(from, start);
}

/** The subject's whole record, sound and fast enough for `need`; samples are checked within `window`. */
export function soundRecord(
  observation: Observation,
  need: Need,
  window: Window = observation.window,
): Waveform | NotMeasurable {
  const record = subjectRecord(observation, need.signals, window);
  if (!isMeasurable(record)) return record;
  return whyUnsound(record, need, window) ?? record.waveform;
}

/** The subject's record cut to a window, sound and fast enough for `need`. */
export function soundPart(
  observation: Observation,
  need: Need,
  window: Window = observation.window,
): Waveform | NotMeasurable {
  const waveform = soundRecord(observation, need, window);
  return isMeasurable(waveform) ? windowed(waveform, window.from, window.to) : waveform;
}

/** Needs are round figures: a record that falls short of one by this part, as by a slow clock, still meets it. */
const roundness = 1e-3;

/** Why a record in a window is no base for the need, or null. One that falls short of it is refused unread. */
export function whyUnsound(
  record: SignalRecord,
  need: Need,
  window: Window,
  { clipped }: Pick<Allowed, 'clipped'> = { clipped: false },
): NotMeasurable | null {
  const short = whyShort(need, record, window);
  if (short) return short;
  const { signal, of, waveform } = record;
  const part = windowed(waveform, window.from, window.to);
  const defect = sampleDefect(part, { negative: !signals[signal].unsigned, clipped });
  return defect ? notMeasurable(defect, { note: of }) : null;
}

/** What the record lacks of the need, by how it was sampled; null when nothing. */
function whyShort(
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
