/**
 * Probability that a standard normal quantity lies above z, for z > 0; relative error below 1e-9 from z = 0.5 on.
 * Source: continued fraction of Mills' ratio; Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.2.14 (from memory).
 */
export function normalTail(z: number): number {
  let below = z;
  for (let k = terms; k > 0; k--) below = z + k / below;
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI) / below;
}

/** At 0.5 the fraction converges slowest. */
const terms = 300;

/** The z above which a standard normal quantity lies with this probability, 1e-15 < tail < 0.3. */
export function normalBeyond(tail: number): number {
  let [low, high] = [0.5, 8];
  while (high - low > 1e-10) {
    const middle = (low + high) / 2;
    if (normalTail(middle) > tail) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
