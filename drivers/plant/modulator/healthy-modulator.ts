import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';
import type { ModulatorTraits } from './traits.ts';

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
