import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';
import type { StageTraits } from './traits.ts';

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
