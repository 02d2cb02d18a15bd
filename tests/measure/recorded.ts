import { signalRecord } from '../../harness/measure/analysis/signal-record.ts';
import type { SignalRecord } from '../../harness/measure/observation.ts';
import type { Signal } from '../../harness/measure/signals.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';

/** A record of the only capture of its signal and subject. */
export function recorded(signal: Signal, of: string, waveform: Waveform): SignalRecord {
  return signalRecord({ capture: captureOf(signal, of), signal, of }, waveform);
}

export function captureOf(signal: Signal, of: string): string {
  return of === signal ? signal : `${signal}-${of}`;
}

/** The same record with other samples, or other facts about them. */
export function changedRecord(record: SignalRecord, change: Partial<Waveform>): SignalRecord {
  return signalRecord(record, { ...record.waveform, ...change });
}
