/** A tolerance in SI; null where it has no limit on that side. */
export interface Tolerance {
  readonly lower: number | null;
  readonly upper: number | null;
}

/**
 * What counts as the whole of a tolerance: half of the way from limit to limit, or the size of the only limit. Null where
 * there is no limit, or one of no width, which cannot be used up in parts. SI.
 */
export function toleranceSize({ lower, upper }: Tolerance): number | null {
  const size =
    lower !== null && upper !== null ? (upper - lower) / 2 : Math.abs(upper ?? lower ?? 0);
  return size > 0 ? size : null;
}

/**
 * How much of the tolerance is left, 1 in the middle (or at zero, for a one-sided limit), 0 on the limit, negative
 * beyond it. Without a value or a limit there is nothing to lose: +infinity.
 */
export function marginOf({
  value,
  lower,
  upper,
}: Tolerance & { readonly value: number | null }): number {
  if (value === null || (lower === null && upper === null)) return Number.POSITIVE_INFINITY;
  const size = toleranceSize({ lower, upper });
  if (lower !== null && upper !== null && size === null)
    return -Math.abs(value - upper) / (Math.abs(upper) || 1);
  const room = Math.min(
    value - (lower ?? Number.NEGATIVE_INFINITY),
    (upper ?? Number.POSITIVE_INFINITY) - value,
  );
  return room / (size ?? 1);
}
