import { indexAt } from '../../signal/samples.ts';

/** The part of a row of values in which highest and lowest differ most, relative to their sum. */
export interface WorstFrame {
  readonly low: number;
  readonly high: number;
  /** Index of the first value of that frame, and of those two. */
  readonly first: number;
  readonly lowAt: number;
  readonly highAt: number;
}

/**
 * Worst contrast (high - low) / (high + low) within any `span` neighbouring values: one pass, with the candidates for the
 * extremes of the sliding frame kept in two monotonic queues (Lemire 2006), each of values and their places.
 *
 * @param values at least one; `span` of at least 1
 */
export function worstFrame(values: Float64Array, span: number): WorstFrame {
  const width = Math.min(values.length, Math.max(1, span));
  const highs = new Float64Array(values.length);
  const highsAt = new Int32Array(values.length);
  const lows = new Float64Array(values.length);
  const lowsAt = new Int32Array(values.length);
  let highFirst = 0;
  let highEnd = 0;
  let lowFirst = 0;
  let lowEnd = 0;
  let worst = -1;
  let result: WorstFrame = { low: Number.NaN, high: Number.NaN, first: 0, lowAt: 0, highAt: 0 };
  for (let k = 0; k < values.length; k++) {
    const value = values[k]!;
    while (highEnd > highFirst && highs[highEnd - 1]! <= value) highEnd--;
    highs[highEnd] = value;
    highsAt[highEnd++] = k;
    while (lowEnd > lowFirst && lows[lowEnd - 1]! >= value) lowEnd--;
    lows[lowEnd] = value;
    lowsAt[lowEnd++] = k;
    const first = k - width + 1;
    if (highsAt[highFirst]! < first) highFirst++;
    if (lowsAt[lowFirst]! < first) lowFirst++;
    if (first < 0) continue;
    const high = highs[highFirst]!;
    const low = lows[lowFirst]!;
    const contrast = high + low > 0 ? (high - low) / (high + low) : 0;
    if (contrast > worst) {
      worst = contrast;
      result = {
        low,
        high,
        first,
        lowAt: indexAt(lowsAt, lowFirst),
        highAt: indexAt(highsAt, highFirst),
      };
    }
  }
  return result;
}
