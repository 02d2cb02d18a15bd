/** Bits of the lowest plane: eight, or four with two neighbours in a byte. */
export type LowBits = 4 | 8;

/**
 * The residuals plane by plane: the lowest bits of all of them, then eight bits at a time. Noise lies in the lowest plane, and the others
 * hold nearly nothing. Planes of zeros at the end are left out.
 */
export function planesOf(folded: Uint32Array, low: LowBits): Uint8Array[] {
  const planes = [low === 8 ? bytesAt(folded, 0) : nibblesOf(folded)];
  let all = 0;
  for (let k = 0; k < folded.length; k++) all |= folded[k] as number;
  for (let from: number = low; from < 32 && all >>> from > 0; from += 8)
    planes.push(bytesAt(folded, from));
  return planes;
}

/** The way back. */
export function foldedFrom(planes: readonly Uint8Array[], low: LowBits, count: number) {
  const folded = new Uint32Array(count);
  planes.forEach((plane, index) => {
    if (index === 0 && low === 4) {
      for (let k = 0; k < count; k++)
        folded[k] = ((plane[k >> 1] as number) >>> (4 * (k & 1))) & 15;
      return;
    }
    const from = index === 0 ? 0 : low + 8 * (index - 1);
    for (let k = 0; k < count; k++)
      folded[k] = (folded[k] as number) | ((plane[k] as number) << from);
  });
  return folded;
}

/** Bytes of a plane of so many residuals. */
export function planeLength(index: number, low: LowBits, count: number): number {
  return index === 0 && low === 4 ? Math.ceil(count / 2) : count;
}

function bytesAt(folded: Uint32Array, from: number): Uint8Array {
  const plane = new Uint8Array(folded.length);
  for (let k = 0; k < folded.length; k++) plane[k] = (folded[k] as number) >>> from;
  return plane;
}

function nibblesOf(folded: Uint32Array): Uint8Array {
  const plane = new Uint8Array(Math.ceil(folded.length / 2));
  for (let k = 0; k < folded.length; k++)
    plane[k >> 1] = (plane[k >> 1] as number) | (((folded[k] as number) & 15) << (4 * (k & 1)));
  return plane;
}
