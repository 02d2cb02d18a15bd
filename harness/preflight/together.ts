import type { Rig } from '../bench/rig.ts';
import { signals } from '../measure/signals.ts';
import { clash } from '../plan/captures/one-record.ts';
import type { CapturePlan } from '../plan/captures/plan-captures.ts';
import type { PlannedWaveform } from '../plan/captures/planned-capture.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Doubt } from './doubt.ts';

/**
 * Records that would be under way together on a digitiser which takes one at a time, where going through the stimulus once
 * for each does not help.
 */
export function checkTogether({ captures }: CapturePlan, rig: Rig): Doubt[] {
  const waveforms = captures.filter((capture) => capture.kind === 'waveform');
  return waveforms.flatMap((one, index) =>
    waveforms
      .slice(index + 1)
      .filter((other) => needsCompany(one) || needsCompany(other))
      .filter((other) => clash(one, other, rig))
      .map((other) => refuse(one, other)),
  );
}

function needsCompany({ signal }: PlannedWaveform): boolean {
  return signals[signal].readWithOthers;
}

function refuse(one: PlannedWaveform, other: PlannedWaveform): Doubt {
  return {
    severity: 'refuse',
    metric: null,
    line: null,
    message: `needs ${one.wire.instrument} to record ${described(one)} and ${described(other)} at a time, but it takes one record after another; give both captures one rate and one window, or wire them to two digitisers`,
  };
}

function described({ signal, rate, during }: PlannedWaveform): string {
  const window = during === null ? '' : ` during ${during}`;
  return `${signal} at ${formatQuantity(rate / 1000, 'number')} kS/s${window}`;
}
