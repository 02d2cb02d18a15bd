/** Neighbouring values that share a level. */
interface Pool {
  /** Sorted. */
  readonly values: readonly number[];
  readonly median: number;
}

/**
 * The course that only rises (`direction` 1), or only falls (-1), and lies nearest to the values by the sum of the distances:
 * values that stand against it for a while do not move it.
 * Source: isotonic regression by pooling adjacent violators, here with medians (textbook knowledge).
 */
export function monotoneMedians(values: readonly number[], direction: 1 | -1): readonly number[] {
  const pools: Pool[] = [];
  for (const value of values) {
    let pool: Pool = { values: [value], median: value };
    for (;;) {
      const last = pools.at(-1);
      if (!last || direction * (pool.median - last.median) >= 0) break;
      pools.pop();
      pool = pooled(last, pool);
    }
    pools.push(pool);
  }
  return pools.flatMap(({ values: own, median }) => own.map(() => median));
}

function pooled(one: Pool, two: Pool): Pool {
  const values = merged(one.values, two.values);
  return { values, median: values[values.length >> 1] ?? one.median };
}

/** Both sorted; long pools take in single values again and again. */
function merged(ones: readonly number[], twos: readonly number[]): number[] {
  const all: number[] = [];
  let second = 0;
  for (const one of ones) {
    for (let two = twos[second]; two !== undefined && two < one; two = twos[++second])
      all.push(two);
    all.push(one);
  }
  return all.concat(twos.slice(second));
}
