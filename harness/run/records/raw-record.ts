import type { RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import type { CaptureId } from '../../measure/observation.ts';
import type { Signal } from '../../measure/signals.ts';
import type { Alongside, Taken } from '../../plan/captures/planned-capture.ts';

/** A waveform as the instrument gave it, under the identity of the capture that was planned. */
export interface RawRecord {
  readonly capture: RecordIdentity;
  /** value = code * scale + offset, in the wire's unit and on the condition's time line. */
  readonly raw: RawCapture;
  /** Codes at either end of the converter's range. */
  readonly clipped: number;
}

/** What is known of a record besides its samples. */
export interface RecordIdentity {
  readonly id: CaptureId;
  readonly signal: Signal;
  /** Channel, or the signal's own name. */
  readonly of: string;
  readonly wire: Wire;
  readonly taken: Taken | Alongside;
  /** Name of its file inside `captures/`. */
  readonly file: string;
}

export function rawRecord(capture: RecordIdentity, raw: RawCapture): RawRecord {
  return { capture, raw, clipped: clippedIn(raw) };
}

function clippedIn({ codes, lowest, highest }: RawCapture): number {
  // By index: iterators over three kinds of array cost three times as much, and this runs once per sample.
  let count = 0;
  for (let index = 0; index < codes.length; index++) {
    const code = codes[index] ?? 0;
    if (code <= lowest || code >= highest) count++;
  }
  return count;
}
