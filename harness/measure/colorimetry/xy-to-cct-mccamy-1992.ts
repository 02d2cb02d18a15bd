import type { Xy } from './chromaticity.ts';

/**
 * Correlated colour temperature, K, by the quick cubic: n = (x - 0.3320) / (0.1858 - y),
 * CCT = 449 n^3 + 3525 n^2 + 6823.3 n + 5520.33. Good to 20 K from 2000 to 8000 K near the locus, no more.
 * Source: C. S. McCamy, Color Research and Application 17(2), 1992 (confirmed in a colour library's source).
 */
export function xyToCctMcCamy1992({ x, y }: Xy): number {
  const n = (x - 0.332) / (0.1858 - y);
  return 449 * n ** 3 + 3525 * n ** 2 + 6823.3 * n + 5520.33;
}
