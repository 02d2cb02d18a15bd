/** Which visibility threshold normalises the measure. The two differ by up to 12 %: a report names the one it used. */
export type ThresholdCurve = 'tr63158' | 'tn006';

export const thresholdCurves: readonly ThresholdCurve[] = ['tr63158', 'tn006'];

/**
 * Visibility threshold of a sine for the stroboscopic effect: amplitude relative to the mean that an average person
 * detects half of the time.
 *
 * @param frequency Hz, 80 to 2000
 * Source: `tr63158`: IEC TR 63158:2018, Perz et al., JOSA A 35(2) 2018 (coefficients confirmed).
 * `tn006`: CIE TN 006:2016, NEMA 77 (from memory).
 */
export function visibilityThreshold(curve: ThresholdCurve, frequency: number): number {
  return curve === 'tr63158'
    ? 2.865e-5 * frequency ** 1.543 + 0.225
    : 1 / (1 + Math.exp(-0.00518 * (frequency - 306.6))) + 20 * Math.exp(-frequency / 10);
}
