type Samples = Float32Array | Float64Array;

// Results go when the memory of the samples goes. Samples are never written after they were recorded.
const kept = new WeakMap<ArrayBufferLike, Map<string, unknown>>();

/**
 * A result that depends on a stretch of samples and what `name` tells, computed when first asked for: the same record,
 * or the same window of it, asked again costs nothing.
 *
 * @param name of the computation, with every argument that it has besides the samples
 */
export function keptWith<T>(samples: Samples, name: string, compute: () => T): T {
  const { buffer, byteOffset, length, BYTES_PER_ELEMENT } = samples;
  let ofBuffer = kept.get(buffer);
  if (!ofBuffer) kept.set(buffer, (ofBuffer = new Map()));
  const key = `${name} ${BYTES_PER_ELEMENT} ${byteOffset} ${length}`;
  if (!ofBuffer.has(key)) ofBuffer.set(key, compute());
  return ofBuffer.get(key) as T;
}
