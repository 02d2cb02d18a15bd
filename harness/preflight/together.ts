import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import { signals } from '../measure/signals.ts';
import { clash, type PlannedRecord } from '../plan/one-record.ts';
import type { Condition } from '../plan/plan.ts';
import { schedule } from '../plan/schedule.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Doubt } from './doubt.ts';
import { findWire } from './planned-judgement.ts';

/**
 * Records that would be under way together on a digitiser which takes one at a time, where going through the stimulus once
 * for each does not help.
 */
export function checkTogether(condition: Condition, rig: Rig, lamp: Lamp): Doubt[] {
  const plan = schedule(condition.stimulus, lamp);
  const records = condition.captures.flatMap((capture): PlannedRecord[] => {
    const instrument = findWire(rig, capture.signal)?.instrument;
    return instrument === undefined ? [] : [{ capture, instrument }];
  });
  return records.flatMap((record, index) =>
    records
      .slice(index + 1)
      .filter((other) => bound(record) || bound(other))
      .filter((other) => clash(record, other, rig, plan))
      .map((other) => refuse(record, other)),
  );
}

function bound({ capture }: PlannedRecord): boolean {
  return signals[capture.signal].readWithOthers;
}

function refuse(one: PlannedRecord, other: PlannedRecord): Doubt {
  return {
    severity: 'refuse',
    metric: null,
    line: null,
    message: `needs ${one.instrument} to record ${described(one)} and ${described(other)} at a time, but it takes one record after another; give both captures one rate and one window, or wire them to two digitisers`,
  };
}

function described({ capture }: PlannedRecord): string {
  const window = capture.during === undefined ? '' : ` during ${capture.during}`;
  return `${capture.signal} at ${formatQuantity((capture.rate ?? 0) / 1000, 'number')} kS/s${window}`;
}
