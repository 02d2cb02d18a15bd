import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The output stage as built: what its components are, not what they should be. One figure a channel where they differ. */
export interface StageTraits {
  readonly kind: 'linear' | 'fixed-off-time';
  /** s, from the gate's edge to full current, and back. */
  riseTime: number;
  fallTime: number;
  /** Current over the asked one, one figure a channel (sense resistor). */
  gain: number[];
  /** A, flows whatever the gate does. */
  leakage: number[];
  /** Relative part of the full current by which an analogue drive is off. */
  analogueOffset: number[];
  /** Excess over the settled current right after turn-on, relative; falls to none in `overshootTime` s. */
  overshoot: number;
  overshootTime: number;
  /** Gate pulses shorter than this give no current, s. */
  shortestPulse: number;
  /** Part of each channel's current that its next neighbour carries too. */
  crosstalk: number;
  /** Relative change of the current reference for a relative change of the rail. */
  lineRegulation: number;
  /** V of supply above the LED voltage below which a linear sink begins to starve. */
  headroom: number;
  /** Limit cycle of the current loop: below this relative drive the current swings by `swing` (relative) at `frequency` Hz. */
  limitCycle: { below: number; swing: number; frequency: number };
  /** Noise of the current reference, relative rms in `noiseBandwidth` Hz; the same on all channels. */
  noise: number;
  noiseBandwidth: number;
  /** Peak-current control with fixed off-time. */
  inductance: number[];
  offTimeFactor: number;
  comparatorDelay: number;
  minimumOnTime: number;
  diodeDrop: number;
}

/** Standard tolerances (k = 1): sense resistor with its comparator, inductor, timing. Common practice, no source. */
const currentTolerance = 0.005;
const inductorTolerance = 0.02;
const timingTolerance = 0.005;

/** The stage of the lamp file, each part within its tolerance. */
export function healthyStage(lamp: Lamp, random: Random): StageTraits {
  const { stage, channels } = lamp;
  const switched = stage.kind === 'fixed-off-time' ? stage : null;
  return {
    kind: stage.kind,
    riseTime: stage.riseTime,
    fallTime: stage.fallTime,
    gain: channels.map(() => 1 + random.within(currentTolerance)),
    leakage: channels.map(() => 0),
    analogueOffset: channels.map(() => random.within(0.002)),
    overshoot: 0,
    overshootTime: 0,
    shortestPulse: 0,
    crosstalk: 0,
    lineRegulation: 0.002,
    headroom: 0.3,
    limitCycle: { below: 0, swing: 0, frequency: 0 },
    noise: 0,
    noiseBandwidth: 1000,
    inductance: channels.map(
      () => (switched ? switched.inductance : 0) * (1 + random.within(inductorTolerance)),
    ),
    offTimeFactor: 1 + random.within(timingTolerance),
    comparatorDelay: switched ? switched.comparatorDelay : 0,
    minimumOnTime: switched ? switched.minimumOnTime : 0,
    diodeDrop: switched ? switched.diodeDrop : 0,
  };
}
