import type { CaptureId, ColourReading, Frame, Observation, SignalRecord } from '../observation.ts';

/** An observation that notes which captures are read from it. */
export interface NotedObservation {
  readonly observation: Observation;
  /** Captures of which a waveform, a tristimulus value or rows were taken so far. Grows while a metric is computed. */
  readonly read: ReadonlySet<CaptureId>;
}

/**
 * Wraps an observation so that taking a record's waveform, a reading's tristimulus values or a frame's rows leaves a note.
 * What tells one record from another (signal, subject, sampling, instants) can be looked at without one. The note is made
 * where the samples are handed over, once for each record, so that loops over samples cost what they did, and a result
 * that was memoised for those samples counts as read all the same.
 */
export function noteReads(observation: Observation): NotedObservation {
  const read = new Set<CaptureId>();
  const note = (capture: CaptureId): void => void read.add(capture);
  return {
    observation: {
      ...observation,
      records: observation.records.map((record) => notedRecord(record, note)),
      colour: observation.colour.map((reading) => notedReading(reading, note)),
      frames: observation.frames.map((frame) => notedFrame(frame, note)),
    },
    read,
  };
}

type Note = (capture: CaptureId) => void;

function notedRecord(record: SignalRecord, note: Note): SignalRecord {
  const { capture, signal, of, sampling } = record;
  return {
    capture,
    signal,
    of,
    sampling,
    get waveform() {
      note(capture);
      return record.waveform;
    },
  };
}

function notedReading(reading: ColourReading, note: Note): ColourReading {
  const { X, Y, Z, ...known } = reading;
  const noted = (value: number): number => {
    note(reading.capture);
    return value;
  };
  return {
    ...known,
    get X() {
      return noted(X);
    },
    get Y() {
      return noted(Y);
    },
    get Z() {
      return noted(Z);
    },
  };
}

function notedFrame(frame: Frame, note: Note): Frame {
  const { rows, ...known } = frame;
  return {
    ...known,
    get rows() {
      note(frame.capture);
      return rows;
    },
  };
}
