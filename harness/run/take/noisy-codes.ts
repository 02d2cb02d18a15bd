import type { RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { normalWithin } from '../../measure/signal/normal-within.ts';

/** What noise makes of a record's codes. */
export interface NoisyCodes {
  /** Standard deviation, in steps of the converter. */
  readonly inSteps: number;
  /** Samples in a row that noise cannot leave alike: by chance in one record of 10⁹ at most. */
  readonly unlikely: number;
}

const chance = 1e-9;
/** The probability's own error is not far from what is left. */
const surelyAlike = 1 - 1e-5;

/**
 * Null where the wire states no noise, or so little that a converter may well show none of it. Gaussian noise leaves a sample
 * within one step of the converter by P(|z| < 1/2 step) at most, and samples closer than half a period of the bandwidth move
 * together.
 */
export function noisyCodes({ codes, scale, rate }: RawCapture, wire: Wire): NoisyCodes | null {
  if (!(wire.noise > 0) || codes instanceof Float32Array) return null;
  const inSteps = wire.noise / Math.abs(scale);
  const alike = normalWithin(1 / 2 / inSteps);
  if (alike > surelyAlike) return null;
  const band = Math.min(wire.bandwidth, wire.antiAlias ?? Number.POSITIVE_INFINITY);
  const together = Math.max(1, rate / (2 * band));
  const unlikely = Math.ceil((together * Math.log(chance / codes.length ** 2)) / Math.log(alike));
  return unlikely < codes.length ? { inSteps, unlikely } : null;
}
