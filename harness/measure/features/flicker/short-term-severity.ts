import { exceedance } from '../../signal/exceedance.ts';

/**
 * Short-term severity from the instantaneous flicker sensation:
 * Pst = sqrt(0.0314 P0.1 + 0.0525 P1s + 0.0657 P3s + 0.28 P10s + 0.08 P50s), Px the level exceeded x % of the time,
 * `s` a mean over neighbouring percentages. Direct quantiles, no classes. Constant p gives sqrt(0.5096 p).
 *
 * @param sensation P_inst, sampled evenly; sorted in place
 * Source: IEC 61000-4-15:2010, the formula as confirmed in several mains-quality instrument manuals.
 */
export function shortTermSeverity(sensation: Float64Array): number {
  const exceeded = exceedance(sensation);
  const smoothed = (...per: number[]): number =>
    per.reduce((sum, percent) => sum + exceeded(percent / 100), 0) / per.length;
  return Math.sqrt(
    0.0314 * smoothed(0.1) +
      0.0525 * smoothed(0.7, 1, 1.5) +
      0.0657 * smoothed(2.2, 3, 4) +
      0.28 * smoothed(6, 8, 10, 13, 17) +
      0.08 * smoothed(30, 50, 80),
  );
}

/** The severity of a sensation that stays the same: the weights of all levels together (computed from the formula). */
export function constantSeverity(sensation: number): number {
  return Math.sqrt(0.5096 * sensation);
}
