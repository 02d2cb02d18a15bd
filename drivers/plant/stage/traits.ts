import type { Lamp, LampChannel } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The output stage as built: what its components are, not what they should be. */
export interface StageTraits {
  readonly kind: 'linear' | 'fixed-off-time';
  /** s, from the gate's edge to full current, and back. */
  riseTime: number;
  fallTime: number;
  /** Excess over the settled current right after turn-on, relative; falls to none in `overshootTime` s. */
  overshoot: number;
  overshootTime: number;
  /** By so much the gate driver switches on late, and not off, s: every pulse is shorter. */
  deadTime: number;
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
  offTimeFactor: number;
  comparatorDelay: number;
  minimumOnTime: number;
  diodeDrop: number;
}

/** What of the output stage each channel has for itself. */
export interface ChannelStage {
  /** The channel as the lamp file has it. */
  readonly nominal: LampChannel;
  /** Current over the asked one (sense resistor). */
  gain: number;
  /** Its string is broken: no current flows. */
  open: boolean;
  /** A, flows whatever the gate does. */
  leakage: number;
  /** Relative part of the full current by which an analogue drive is off. */
  analogueOffset: number;
  /** H; 0 of a linear sink. */
  inductance: number;
}

/** Standard tolerances (k = 1): sense resistor with its comparator, inductor, timing. Common practice, no source. */
const currentTolerance = 0.005;
const inductorTolerance = 0.02;
const timingTolerance = 0.005;
/** Of the converter that sets an analogue current, relative to full. Invented. */
const offsetTolerance = 0.002;

/** The channels of the lamp file, each part within its tolerance. Part after part: the order of draws is the lamp's. */
export function healthyChannelStages({ stage, channels }: Lamp, random: Random): ChannelStage[] {
  const inductance = stage.kind === 'fixed-off-time' ? stage.inductance : 0;
  const built = channels.map((nominal): ChannelStage => {
    const gain = 1 + random.within(currentTolerance);
    return { nominal, gain, open: false, leakage: 0, analogueOffset: 0, inductance };
  });
  for (const channel of built) channel.analogueOffset = random.within(offsetTolerance);
  for (const channel of built) channel.inductance *= 1 + random.within(inductorTolerance);
  return built;
}

/** What the channels share. */
export function healthyStage({ stage }: Lamp, random: Random): StageTraits {
  const switched = stage.kind === 'fixed-off-time' ? stage : null;
  return {
    kind: stage.kind,
    riseTime: stage.riseTime,
    fallTime: stage.fallTime,
    overshoot: 0,
    overshootTime: 0,
    deadTime: stage.deadTime ?? 0,
    shortestPulse: 0,
    crosstalk: 0,
    lineRegulation: 0.002,
    headroom: 0.3,
    limitCycle: { below: 0, swing: 0, frequency: 0 },
    noise: 0,
    noiseBandwidth: 1000,
    offTimeFactor: 1 + random.within(timingTolerance),
    comparatorDelay: switched ? switched.comparatorDelay : 0,
    minimumOnTime: switched ? switched.minimumOnTime : 0,
    diodeDrop: switched ? switched.diodeDrop : 0,
  };
}
