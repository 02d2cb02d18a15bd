import type { SignalRecord } from './observation.ts';
import { samplingOf, type Waveform } from './waveform.ts';

/** A record from its identity and its waveform. */
export function signalRecord(
  { capture, signal, of }: Pick<SignalRecord, 'capture' | 'signal' | 'of'>,
  waveform: Waveform,
): SignalRecord {
  return { capture, signal, of, sampling: samplingOf(waveform), waveform };
}
