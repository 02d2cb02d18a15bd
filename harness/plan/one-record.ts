import type { Rig } from '../bench/rig.ts';
import type { CaptureRequest } from './plan.ts';
import { markWindow, type Schedule } from './schedule.ts';

/** A capture as a digitiser is asked for it. */
export interface PlannedRecord {
  readonly instrument: string;
  readonly capture: CaptureRequest;
}

/**
 * Would the two be two records under way together on a digitiser that takes one at a time (`one-record`)? Captures of one
 * rate and one window are one record, whatever their signals.
 */
export function clash(
  one: PlannedRecord,
  other: PlannedRecord,
  rig: Rig,
  plan: Pick<Schedule, 'marks' | 'duration'>,
): boolean {
  const [a, b] = [one.capture, other.capture];
  if (a.rate === undefined || b.rate === undefined) return false;
  if (one.instrument !== other.instrument || !takesOne(rig, one.instrument)) return false;
  if (a.rate === b.rate && a.during === b.during) return false;
  const first = markWindow(plan, a.during);
  const second = markWindow(plan, b.during);
  return first !== null && second !== null && first.from < second.to && second.from < first.to;
}

function takesOne({ instruments }: Rig, wanted: string): boolean {
  return instruments.find(({ name }) => name === wanted)?.settings['one-record'] === true;
}
