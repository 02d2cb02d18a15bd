/**
 * Cumulative distribution of the standard normal, Φ(z).
 *
 * Input: z, any number. Output: probability, 0..1; absolute error below 1e-14.
 * Source: Φ(z) = (1 + erf(z/√2))/2 with the Maclaurin series of erf near 0 and the continued fraction of erfc in the
 * tails (Abramowitz & Stegun, Handbook of Mathematical Functions, 7.1.6 and 7.1.14; from memory).
 */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) return Number.NaN;
  const tail = upperTail(Math.abs(z));
  return z > 0 ? 1 - tail : tail;
}

/** 1 - Φ(z) for z >= 0, without cancellation in the far tail. */
function upperTail(z: number): number {
  if (z > 39) return 0;
  return z < 3 ? 0.5 - area(z) : density(z) / continuedFraction(z);
}

/** Φ(z) - 1/2: a series of positive terms, so nothing cancels. */
function area(z: number): number {
  let term = z;
  let sum = z;
  for (let n = 3; term > sum * 1e-17; n += 2) {
    term *= (z * z) / n;
    sum += term;
  }
  return sum * density(z);
}

function density(z: number): number {
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
}

/** z + 1/(z + 2/(z + 3/(z + ...))): 60 levels are enough from z = 3 on. */
function continuedFraction(z: number): number {
  let value = z;
  for (let n = 60; n > 0; n--) value = z + n / value;
  return value;
}
