import type { Samples } from './samples.ts';

type Argument = number | string;

/** Results by arguments, which are compared one by one: no key is put together that another could be mistaken for. */
interface Branch<T> {
  result?: { readonly value: T };
  next?: Map<Argument, Branch<T>>;
}

class Results<T> {
  readonly #roots = new WeakMap<object, Branch<T>>();

  get(owner: object, rest: readonly Argument[], compute: () => T): T {
    let branch = this.#roots.get(owner);
    if (!branch) this.#roots.set(owner, (branch = {}));
    for (const argument of rest) branch = branchOf(branch, argument);
    return (branch.result ??= { value: compute() }).value;
  }
}

function branchOf<T>(branch: Branch<T>, argument: Argument): Branch<T> {
  branch.next ??= new Map();
  const known = branch.next.get(argument);
  if (known) return known;
  const next: Branch<T> = {};
  branch.next.set(argument, next);
  return next;
}

/**
 * Remembers what a pure function gave for an object and further arguments. The results go when the object goes, which must
 * not be changed meanwhile.
 */
export function memoise<Owner extends object, Rest extends readonly Argument[], T>(
  compute: (owner: Owner, ...rest: Rest) => T,
): (owner: Owner, ...rest: Rest) => T {
  const results = new Results<T>();
  return (owner, ...rest) => results.get(owner, rest, () => compute(owner, ...rest));
}

/**
 * The same for a function of samples: two views of the same stretch of memory share a result, so that the same record, or
 * the same window of it, asked again costs nothing. Samples are never written after they were recorded.
 */
export function memoiseSamples<Rest extends readonly Argument[], T>(
  compute: (samples: Samples, ...rest: Rest) => T,
): (samples: Samples, ...rest: Rest) => T {
  const results = new Results<T>();
  return (samples, ...rest) => {
    const { buffer, byteOffset, length, BYTES_PER_ELEMENT } = samples;
    const stretch = [BYTES_PER_ELEMENT, byteOffset, length, ...rest];
    return results.get(buffer, stretch, () => compute(samples, ...rest));
  };
}
