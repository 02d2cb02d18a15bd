import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { CaptureRequest, Condition } from '../plan.ts';
import { schedule, windowOf } from '../schedule.ts';
import type { Doubt } from './doubt.ts';
import { findWire } from './subject.ts';

interface Recorded {
  readonly capture: CaptureRequest;
  readonly instrument: string;
  readonly rate: number;
  readonly from: number;
  readonly to: number;
}

/**
 * Records that would be under way together on a digitiser which takes one at a time. Captures of one rate and one window
 * are one record, whatever their signals.
 */
export function checkTogether(condition: Condition, rig: Rig, lamp: Lamp): Doubt[] {
  const plan = schedule(condition.stimulus, lamp);
  const records = condition.captures.flatMap((capture): Recorded[] => {
    const { rate, during } = capture;
    const instrument = findWire(rig, capture.signal)?.instrument;
    const window = windowOf(plan, during);
    if (rate === undefined || !window || instrument === undefined || !takesOne(rig, instrument))
      return [];
    return [{ capture, instrument, rate, ...window }];
  });
  return records.flatMap((record, index) =>
    records
      .slice(index + 1)
      .filter((other) => areTwo(record, other) && overlap(record, other))
      .map((other) => refuse(record, other)),
  );
}

function takesOne({ instruments }: Rig, wanted: string): boolean {
  return instruments.find(({ name }) => name === wanted)?.settings['one-record'] === true;
}

function areTwo(one: Recorded, other: Recorded): boolean {
  return (
    one.instrument === other.instrument &&
    (one.rate !== other.rate || one.capture.during !== other.capture.during)
  );
}

function overlap(one: Recorded, other: Recorded): boolean {
  return one.from < other.to && other.from < one.to;
}

function refuse(one: Recorded, other: Recorded): Doubt {
  return {
    severity: 'refuse',
    metric: null,
    line: null,
    message: `needs ${one.instrument} to record ${described(one)} and ${described(other)} at a time, but it takes one record after another; give both captures one rate and one window, or wire them to two digitisers`,
  };
}

function described({ capture, rate }: Recorded): string {
  const window = capture.during === undefined ? '' : ` during ${capture.during}`;
  return `${capture.signal} at ${formatQuantity(rate / 1000, 'number')} kS/s${window}`;
}
