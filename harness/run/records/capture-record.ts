import type { RawCapture } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Frame } from '../../measure/observation.ts';
import type { CaptureRecord } from '../../record/run-record.ts';
import type { UnitSymbol } from '../../units/unit.ts';
import type { FrameRecord } from './pass-records.ts';
import { type RawRecord, rawRecord } from './raw-record.ts';

/** A capture as a run stores it: its line in the record, and what goes into its file. */
export interface CaptureToStore {
  readonly record: CaptureRecord;
  readonly raw: RawCapture;
}

export function storedWaveform({ capture, raw, clipped }: RawRecord): CaptureToStore {
  const { id, file, signal, of, wire, taken } = capture;
  const record: CaptureRecord = {
    id,
    file,
    signal,
    of,
    instrument: wire.instrument,
    input: wire.input,
    rate: raw.rate,
    start: raw.start,
    samples: raw.codes.length,
    unit: raw.unit,
    scale: raw.scale,
    offset: raw.offset,
    clipped,
    ...rangeOf(raw),
    ...(raw.standardStart === undefined ? {} : { standardStart: raw.standardStart }),
    taken,
  };
  return { record, raw };
}

/** A record of numbers has no ends, and JSON no infinity. */
function rangeOf({ lowest, highest }: RawCapture): Pick<CaptureRecord, 'lowest' | 'highest'> {
  return {
    ...(Number.isFinite(lowest) ? { lowest } : {}),
    ...(Number.isFinite(highest) ? { highest } : {}),
  };
}

/** A frame is stored as one value per row; its rate is rows per second. */
export function storedFrame({ capture, frame }: FrameRecord): CaptureToStore {
  const { id, file, of, wire, taken } = capture;
  const { at, rows, lineTime, exposure, saturated } = frame;
  const raw: RawCapture = {
    input: wire.input,
    codes: Float32Array.from(rows),
    scale: 1,
    offset: 0,
    unit: '1',
    lowest: Number.NEGATIVE_INFINITY,
    highest: Number.POSITIVE_INFINITY,
    rate: 1 / lineTime,
    start: at,
  };
  const record: CaptureRecord = {
    id,
    file,
    signal: 'frame',
    of,
    instrument: wire.instrument,
    input: wire.input,
    rate: raw.rate,
    start: at,
    samples: rows.length,
    unit: '1',
    scale: 1,
    offset: 0,
    clipped: saturated ? rows.length : 0,
    frame: { lineTime, exposure },
    taken,
  };
  return { record, raw };
}

/** The waveform that was stored, on the wire of a rig that is still the same. */
export function waveformFrom(
  capture: CaptureRecord,
  codes: RawCapture['codes'],
  rig: Rig,
): RawRecord {
  const { id, file, signal, of, instrument, input, scale, offset, rate, start, taken } = capture;
  const wires = rig.wiring.filter(
    (one) => one.signal === signal && one.instrument === instrument && one.input === input,
  );
  // An input that serves several channels may be calibrated for each.
  const wire = wires.find((one) => one.of === of) ?? wires[0];
  if (!wire) throw new Error(`rig ${rig.rig} has no wire for ${signal} on ${instrument} ${input}`);
  const raw: RawCapture = {
    input,
    codes,
    scale,
    offset,
    unit: capture.unit as UnitSymbol,
    lowest: capture.lowest ?? Number.NEGATIVE_INFINITY,
    highest: capture.highest ?? Number.POSITIVE_INFINITY,
    rate,
    start,
    ...(capture.standardStart !== undefined && { standardStart: capture.standardStart }),
  };
  return rawRecord({ id, file, signal: wire.signal, of, wire, taken }, raw);
}

/** The frame that was stored; null where the capture is no frame. */
export function frameFrom(
  { id, start, clipped, frame }: CaptureRecord,
  rows: RawCapture['codes'],
): Frame | null {
  if (!frame) return null;
  const { lineTime, exposure } = frame;
  const saturated = clipped > 0;
  return { capture: id, at: start, rows: Float64Array.from(rows), lineTime, exposure, saturated };
}
