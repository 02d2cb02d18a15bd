/** Keeps the latest few results of a pure function of one key; the one not asked for longest is dropped. */
export function lately<T>(most: number, compute: (key: string) => T): (key: string) => T {
  const kept = new Map<string, T>();
  return (key) => {
    const value = kept.has(key) ? (kept.get(key) as T) : compute(key);
    kept.delete(key);
    kept.set(key, value);
    for (const oldest of kept.keys()) {
      if (kept.size <= most) break;
      kept.delete(oldest);
    }
    return value;
  };
}
