import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { ModulatorSetup } from '../firmware/firmware.ts';
import type { Random } from '../random.ts';

/** The modulator hardware between the firmware's registers and the gate of the output stage. */
export interface ModulatorTraits {
  /** Real frequency of the lamp's oscillator over its nominal one. */
  clockFactor: number;
  /** What the hardware makes of the setup that the firmware asked for. */
  setup(asked: ModulatorSetup, channel: number): ModulatorSetup;
  /** Register value that takes effect when the firmware writes `value` of `full`. */
  register(value: number, full: number, channel: number): number;
  /** Accumulator at power-up as a part of its range, 0..1: keeps the channels out of step. */
  startPhase(channel: number): number;
  /** Output stage that a drive register reaches (wiring on the board). */
  output(channel: number): number;
}

/** Standard tolerance of a crystal oscillator, common practice, no source. */
const oscillator = 25e-6;

/** A modulator that does what it is told, with a real crystal. */
export function healthyModulator(lamp: Lamp, random: Random): ModulatorTraits {
  const channels = lamp.channels.length;
  return {
    clockFactor: 1 + random.within(oscillator),
    setup: (asked) => asked,
    register: (value) => value,
    // Spread evenly, so that the channels' pulses do not fall on one another.
    startPhase: (channel) => channel / channels,
    output: (channel) => channel,
  };
}
