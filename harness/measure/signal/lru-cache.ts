/**
 * Remembers the latest results of a pure function, `capacity` of them; the least recently used is dropped. Arguments are
 * compared one by one with Object.is.
 */
export function lruCache<Arguments extends readonly unknown[], T>(
  capacity: number,
  compute: (...args: Arguments) => T,
): (...args: Arguments) => T {
  /** The most recently used last. */
  const entries: { readonly args: Arguments; readonly value: T }[] = [];
  return (...args) => {
    const known = entries.findIndex((entry) =>
      entry.args.every((each, k) => Object.is(each, args[k])),
    );
    const [found] = known < 0 ? [] : entries.splice(known, 1);
    const entry = found ?? { args, value: compute(...args) };
    entries.push(entry);
    if (entries.length > capacity) entries.shift();
    return entry.value;
  };
}
