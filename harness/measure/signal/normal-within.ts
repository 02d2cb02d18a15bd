/**
 * Probability that a standard normal deviate lies within ± `sides`, sides ≥ 0; error below 1.5e-7.
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.2.17.
 */
export function normalWithin(sides: number): number {
  const t = 1 / (1 + 0.2316419 * sides);
  const series =
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const beyond = (Math.exp(-(sides ** 2) / 2) / Math.sqrt(2 * Math.PI)) * series;
  return 1 - 2 * beyond;
}
