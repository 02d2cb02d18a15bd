import type { Rig } from '../../bench/rig.ts';
import type { PlannedCapture } from './planned-capture.ts';

/**
 * Would the two be two records under way together on a digitiser that takes one at a time (`one-record`)? Captures of one
 * rate and one window are one record, whatever their signals.
 */
export function clash(a: PlannedCapture, b: PlannedCapture, rig: Rig): boolean {
  if (a.kind !== 'waveform' || b.kind !== 'waveform') return false;
  const { instrument } = a.wire;
  if (instrument !== b.wire.instrument || !takesOneRecord(rig, instrument)) return false;
  if (a.rate === b.rate && a.during === b.during) return false;
  return a.window.from < b.window.to && b.window.from < a.window.to;
}

function takesOneRecord({ instruments }: Rig, wanted: string): boolean {
  return instruments.find(({ name }) => name === wanted)?.limits.oneRecord === true;
}
