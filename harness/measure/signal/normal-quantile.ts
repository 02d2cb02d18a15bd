/**
 * Quantile of the standard normal distribution for 0 < p < 1, error below 4.5e-4.
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.2.23.
 */
export function normalQuantile(p: number): number {
  if (p < 0.5) return -normalQuantile(1 - p);
  const t = Math.sqrt(-2 * Math.log(1 - p));
  const above = 2.515517 + t * (0.802853 + t * 0.010328);
  const below = 1 + t * (1.432788 + t * (0.189269 + t * 0.001308));
  return t - above / below;
}
