import type { SignalRecord } from '../observation.ts';
import type { Waveform } from '../waveform.ts';
import { samplingOf } from './waveform-part.ts';

/** A record from its identity and its waveform. */
export function signalRecord(
  { capture, signal, of }: Pick<SignalRecord, 'capture' | 'signal' | 'of'>,
  waveform: Waveform,
): SignalRecord {
  return { capture, signal, of, sampling: samplingOf(waveform), waveform };
}
