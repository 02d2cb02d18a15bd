import { type Allowed, sampleDefect } from '../analysis/sample-defect.ts';
import { samplesWithin, windowed } from '../analysis/waveform-part.ts';
import type { Need } from '../metric.ts';
import type { Observation, SignalRecord, Window } from '../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../outcome.ts';
import { type Signal, signals } from '../signals.ts';
import { spanOf, type Waveform } from '../waveform.ts';
import { chooseRecord } from './choose-record.ts';

/** What of an observation a metric is about: the record that `chooseRecord` finds for its subject. */
export function subjectRecord(
  { records, of, window: whole }: Observation,
  wanted: readonly Signal[],
  window: Window = whole,
): SignalRecord | NotMeasurable {
  const candidates = records.map((record) => {
    const { signal, of: whose, sampling } = record;
    return { signal, of: whose, window: spanOf(sampling), record };
  });
  const chosen = chooseRecord(candidates, { of, signals: wanted, window });
  const note = `no ${wanted.join(' or ')} of ${of}`;
  return chosen?.record ?? notMeasurable('no-record', { note });
}

/** The record of a signal that the lamp has one of, such as a pin, whatever the metric's subject is. */
export function lampRecord(observation: Observation, signal: Signal): SignalRecord | NotMeasurable {
  return subjectRecord({ ...observation, of: signal }, [signal]);
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
