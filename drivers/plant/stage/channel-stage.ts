import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { ChannelModel } from '../model.ts';
import { type OperatingPoint, operatingPoint } from './fixed-off-time.ts';
import type { StageTraits } from './traits.ts';

/** What the firmware has set for a channel's stage. */
export interface StageSetting {
  /** A: comparator threshold, or the linear sink's current. */
  peak: number;
  /** s */
  offTime: number;
}

/** One channel's stage while its gate is on. */
export interface StageState {
  /** A, mean while on. */
  readonly current: number;
  /** The switching cycle, or null of a linear sink. */
  readonly cycle: OperatingPoint | null;
}

/** Current of a channel while its gate is on, from the rail's voltage and the firmware's setting. */
export function stageState(
  stage: StageTraits,
  channel: ChannelModel,
  { peak, offTime }: StageSetting,
  rail: number,
  nominalRail: number,
): StageState {
  if (rail <= 0 || peak <= 0 || channel.open) return { current: 0, cycle: null };
  const { emitter, nominal } = channel;
  const relative = rail / nominalRail - 1;
  const asked = peak * channel.gain * (1 + stage.lineRegulation * relative);
  const ledVoltage = Math.max(
    0.5 * emitter.forwardVoltage,
    emitter.forwardVoltage + emitter.dynamicResistance * (asked - nominal.maxCurrent),
  );
  if (stage.kind === 'linear') {
    return { current: starved(asked, rail - stage.headroom, channel), cycle: null };
  }
  const cycle = operatingPoint({
    supply: rail,
    ledVoltage,
    inductance: channel.inductance,
    offTime: offTime * stage.offTimeFactor,
    peak: asked,
    comparatorDelay: stage.comparatorDelay,
    minimumOnTime: stage.minimumOnTime,
    diodeDrop: stage.diodeDrop,
    dynamicResistance: emitter.dynamicResistance,
  });
  if (cycle.mode !== 'dropout') return { current: cycle.mean, cycle };
  return { current: starved(asked, rail, channel), cycle: null };
}

/** A mains lamp with linear sinks makes a rail of this much above its highest LED voltage (relative). Invented. */
const railAboveLeds = 0.12;

/** V: rail of the lamp as designed. */
export function designedRail({ stage, supply, channels }: Lamp): number {
  if (stage.kind === 'fixed-off-time') return stage.supplyVoltage;
  if (supply.kind === 'dc') return supply.nominal;
  return (1 + railAboveLeds) * Math.max(...channels.map(({ forwardVoltage }) => forwardVoltage));
}

/**
 * A sink cannot pass more than the supply pushes through the LEDs: I <= I_nominal + (available - V) / R, not below
 * zero, with `available` V left of the rail.
 */
function starved(wanted: number, available: number, { emitter, nominal }: ChannelModel): number {
  const { forwardVoltage, dynamicResistance } = emitter;
  const possible = nominal.maxCurrent + (available - forwardVoltage) / dynamicResistance;
  return Math.max(0, Math.min(wanted, possible));
}
