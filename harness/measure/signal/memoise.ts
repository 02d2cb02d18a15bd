type Samples = Float32Array | Float64Array;

// Results go when the memory of the samples goes. Samples are never written after they were recorded.
const kept = new WeakMap<object, Map<string, unknown>>();

/**
 * A result that depends on a stretch of samples and what `name` tells, computed when first asked for: the same record,
 * or the same window of it, asked again costs nothing.
 *
 * @param name of the computation, with every argument that it has besides the samples
 */
export function keptWith<T>(samples: Samples, name: string, compute: () => T): T {
  const { buffer, byteOffset, length, BYTES_PER_ELEMENT } = samples;
  return keptFor(buffer, `${name} ${BYTES_PER_ELEMENT} ${byteOffset} ${length}`, compute);
}

/** The same for anything that is not changed after it was made. */
export function keptFor<T>(owner: object, name: string, compute: () => T): T {
  let ofOwner = kept.get(owner);
  if (!ofOwner) kept.set(owner, (ofOwner = new Map()));
  if (!ofOwner.has(name)) ofOwner.set(name, compute());
  return ofOwner.get(name) as T;
}
