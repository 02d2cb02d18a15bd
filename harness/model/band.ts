/** A figure that is known to lie between two bounds. */
export interface Band {
  readonly low: number;
  readonly high: number;
}

export function exactly(value: number): Band {
  return { low: value, high: value };
}

export const dark = exactly(0);

export function isExact({ low, high }: Band): boolean {
  return low === high;
}

export function hull(...bands: readonly Band[]): Band {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const band of bands) {
    if (band.low < low) low = band.low;
    if (band.high > high) high = band.high;
  }
  return { low, high };
}

/** Of two bands that are not negative. */
export function product(one: Band, other: Band): Band {
  return { low: one.low * other.low, high: one.high * other.high };
}

/** Both bounds through a rising function. */
export function mapped(band: Band, rising: (value: number) => number): Band {
  return { low: rising(band.low), high: rising(band.high) };
}
