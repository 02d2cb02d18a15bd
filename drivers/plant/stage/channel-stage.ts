import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { EmitterTraits } from '../emitter/traits.ts';
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

/** Current of channel `index` while its gate is on, from the rail's voltage and the firmware's setting. */
export function stageState(
  stage: StageTraits,
  emitter: EmitterTraits,
  lamp: Lamp,
  index: number,
  { peak, offTime }: StageSetting,
  rail: number,
): StageState {
  if (rail <= 0 || peak <= 0) return { current: 0, cycle: null };
  const relative = rail / nominalRail(lamp) - 1;
  const asked = peak * stage.gain[index]! * (1 + stage.lineRegulation * relative);
  const nominal = lamp.channels[index]!.maxCurrent;
  const ledVoltage = Math.max(
    0.5 * emitter.forwardVoltage,
    emitter.forwardVoltage + emitter.dynamicResistance * (asked - nominal),
  );
  if (stage.kind === 'linear') {
    return { current: starved(asked, rail, emitter, nominal, stage.headroom), cycle: null };
  }
  const cycle = operatingPoint({
    supply: rail,
    ledVoltage,
    inductance: stage.inductance[index]!,
    offTime: offTime * stage.offTimeFactor,
    peak: asked,
    comparatorDelay: stage.comparatorDelay,
    minimumOnTime: stage.minimumOnTime,
    diodeDrop: stage.diodeDrop,
    dynamicResistance: emitter.dynamicResistance,
  });
  if (cycle.mode !== 'dropout') return { current: cycle.mean, cycle };
  return { current: starved(asked, rail, emitter, nominal, 0), cycle: null };
}

/** A mains lamp with linear sinks makes a rail of this much above its highest LED voltage (relative). Invented. */
const railAboveLeds = 0.12;

/** V: rail of the lamp as designed. */
export function nominalRail({ stage, supply, channels }: Lamp): number {
  if (stage.kind === 'fixed-off-time') return stage.supplyVoltage;
  if (supply.kind === 'dc') return supply.nominal;
  return (1 + railAboveLeds) * Math.max(...channels.map(({ forwardVoltage }) => forwardVoltage));
}

/** A sink cannot pass more than the supply pushes through the LEDs: I <= I_nominal + (rail - headroom - V) / R, not below zero. */
function starved(
  wanted: number,
  rail: number,
  { forwardVoltage, dynamicResistance }: EmitterTraits,
  nominal: number,
  headroom: number,
): number {
  const possible = nominal + (rail - headroom - forwardVoltage) / dynamicResistance;
  return Math.max(0, Math.min(wanted, possible));
}
