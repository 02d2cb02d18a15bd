/** Whether two plain values hold the same. Parts that are the very same object cost nothing. */
export function same(one: unknown, other: unknown): boolean {
  if (Object.is(one, other)) return true;
  if (typeof one !== 'object' || typeof other !== 'object' || !one || !other) return false;
  const [keys, others] = [Object.keys(one), Object.keys(other)];
  return (
    keys.length === others.length &&
    keys.every((key) => same(Reflect.get(one, key), Reflect.get(other, key)))
  );
}
