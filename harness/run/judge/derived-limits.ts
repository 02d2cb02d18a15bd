import type { Lamp, LampChannel, Stage } from '../../bench/lamp.ts';
import { fixedOffTime } from '../../measure/features/current/fixed-off-time.ts';
import type { LimitsSource } from '../../plan/plan.ts';
import type { Limits } from '../../verdict/limits.ts';

/**
 * The tolerance of a criterion in figures; `of` tells whose where the lamp file's figure is a channel's. `show` writes
 * a figure for people.
 */
export function limitsFor(
  source: LimitsSource,
  lamp: Lamp,
  of: string,
  show: (value: number) => string,
): Limits | { readonly missing: string } {
  if (!('derived' in source)) return source;
  const target = derivedTarget(source.derived, lamp, of);
  if (typeof target === 'string') return { missing: target };
  const half = source.absolute ?? Math.abs(target) * (source.relative ?? 0);
  const text = `${show(target)} (${source.text})`;
  return { lower: target - half, upper: target + half, target, text };
}

/** A figure that follows from the lamp file, SI; or why it does not. */
function derivedTarget(name: string, lamp: Lamp, of: string): number | string {
  const channel = lamp.channels.find((candidate) => candidate.channel === of) ?? lamp.channels[0];
  if (!channel) return 'the lamp file names no channel';
  if (name === 'channel.max-current') return channel.maxCurrent;
  if (name.startsWith('stage.')) return stageTarget(name, lamp.stage, channel);
  return `the lamp file has no figure ${name}`;
}

function stageTarget(name: string, stage: Stage, channel: LampChannel): number | string {
  if (stage.kind !== 'fixed-off-time') {
    return `${name} follows from a fixed-off-time stage, but the lamp file states a ${stage.kind} one`;
  }
  const { supplyVoltage, inductance, offTime, diodeDrop } = stage;
  const { forwardVoltage, maxCurrent } = channel;
  // The lamp file states the mean while on; the comparator's threshold lies half a ripple above it.
  const ripple = ((forwardVoltage + diodeDrop) * offTime) / inductance;
  const design = fixedOffTime({
    supplyVoltage,
    ledVoltage: forwardVoltage,
    inductance,
    offTime,
    diodeDrop,
    peakCurrent: maxCurrent + ripple / 2,
  });
  if (!design.continuous) return `the stage of ${channel.channel} is not in continuous conduction`;
  if (name === 'stage.ripple') return design.ripple;
  if (name === 'stage.mean-current') return design.meanCurrent;
  if (name === 'stage.switching-frequency') return design.frequency;
  if (name === 'stage.off-time') return stage.offTime;
  return `the lamp file has no figure ${name}`;
}
