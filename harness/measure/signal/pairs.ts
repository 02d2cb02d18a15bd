/** Each element with the one after it. */
export function neighbours<T>(values: readonly T[]): readonly (readonly [T, T])[] {
  return zip(values, values.slice(1));
}

/** Elements of the same place in two lists, as far as both go. */
export function zip<A, B>(ones: ArrayLike<A>, twos: ArrayLike<B>): readonly (readonly [A, B])[] {
  const length = Math.min(ones.length, twos.length);
  return Array.from({ length }, (_, k) => [ones[k]!, twos[k]!] as const);
}

/** First and last element, which may be the same; null where there is none. */
export function endsOf<T extends object>(values: readonly T[]): readonly [T, T] | null {
  const [first] = values;
  const last = values.at(-1);
  return first && last ? [first, last] : null;
}
