import { normalQuantile } from './normal-quantile.ts';

/** Expected largest of n standard normal deviates (Blom 1958). */
export function largestOfNormals(n: number): number {
  return n <= 1 ? 0 : normalQuantile((n - 0.375) / (n + 0.25));
}
