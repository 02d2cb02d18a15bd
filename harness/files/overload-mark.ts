/** What stands in a file in place of a sample, in words. */
export interface OverloadMark {
  readonly meaning: string;
}

/** Single precision moves a mark by less than this part of it. */
const rounding = 1e-6;

/** Numbers as large as this are no readings, whatever they mean. */
const smallestMark = 9.9e37 * (1 - rounding);

/**
 * The mark that an instrument writes in place of a reading, or null for a number that may be one. Larger numbers than the
 * marks of the standard count as overload too.
 * Source: SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5 (9.9E37 for infinity, 9.91E37 for not a number; from memory).
 */
export function overloadMark(value: number): OverloadMark | null {
  const size = Math.abs(value);
  if (!(size >= smallestMark)) return null;
  if (Math.abs(size / 9.91e37 - 1) < rounding) return { meaning: 'not a number (9.91E+37)' };
  return { meaning: `an overload (${value < 0 ? '-' : ''}9.9E+37)` };
}

/** The first mark among samples and its place from 0, or null. */
export function firstOverload(
  samples: Float32Array | Float64Array,
): (OverloadMark & { readonly index: number }) | null {
  for (let index = 0; index < samples.length; index++) {
    const mark = overloadMark(samples[index] ?? 0);
    if (mark) return { ...mark, index };
  }
  return null;
}

/** The end of a sentence that tells of a mark. */
export function overloadAdvice({ meaning }: OverloadMark): string {
  return `expected samples, found the instrument's mark for ${meaning}: choose a larger range and record again, or cut the record before it`;
}
