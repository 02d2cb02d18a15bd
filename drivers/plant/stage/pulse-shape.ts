import type { StageTraits } from './traits.ts';

/**
 * One current pulse over its settled value: rises straight in `riseTime` to 1 + overshoot, settles straight in
 * `overshootTime`, falls straight in `fallTime` once the gate is off. A pulse too short to rise stops where it is.
 */
export type PulseShape = Pick<
  StageTraits,
  'riseTime' | 'fallTime' | 'overshoot' | 'overshootTime' | 'shortestPulse' | 'deadTime'
>;

/** Area of a pulse whose gate is to be on for `gate` s, in seconds at the settled current. */
export function pulseArea(shape: PulseShape, gate: number): number {
  const on = gate - shape.deadTime;
  if (on <= 0 || gate < shape.shortestPulse) return 0;
  const { riseTime, fallTime, overshoot, overshootTime } = shape;
  const peak = 1 + overshoot;
  if (on < riseTime) {
    const reached = (on / riseTime) * peak;
    return (reached * on) / 2 + (reached * reached * fallTime) / 2;
  }
  const settling = Math.min(on - riseTime, overshootTime);
  const excess =
    overshootTime > 0 ? overshoot * (settling - settling ** 2 / (2 * overshootTime)) : 0;
  const end = overshootTime > 0 ? 1 + overshoot * (1 - settling / overshootTime) : 1;
  return (peak * riseTime) / 2 + (on - riseTime) + excess + (end * end * fallTime) / 2;
}

/** Mean of a sample = `slope` * (on-time / sample time) + `base`, in parts of the settled current. */
export interface PulseFit {
  slope: number;
  base: number;
}

/**
 * What the edges make of a pulse-density stream: up to half density every one stands alone, above it every zero does,
 * so that the area lost or gained at the edges goes with the ones or with the zeros.
 */
export function densityFit(
  shape: PulseShape,
  clock: number,
  density: number,
  full: number,
): PulseFit {
  if (density <= 0) return { slope: 0, base: 0 };
  if (density >= full) return { slope: 1, base: 0 };
  const on = 1 / clock;
  if (2 * density <= full) return { slope: pulseArea(shape, on) * clock, base: 0 };
  const run = density / (full - density);
  const lost = run + 1 - pulseArea(shape, run * on) * clock;
  return { slope: lost, base: 1 - lost };
}

/** Duty that the current has when the gate has `duty` of a PWM at `frequency`. */
export function effectiveDuty(shape: PulseShape, frequency: number, duty: number): number {
  return duty >= 1 ? 1 : Math.min(1, pulseArea(shape, duty / frequency) * frequency);
}
