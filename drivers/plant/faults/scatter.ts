/** A number 0..1 that looks random and is always the same for the same index (Murmur finaliser, from memory). */
export function scatter(index: number): number {
  let bits = Math.imul(index ^ 0x2545f491, 0x85ebca6b);
  bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35);
  return ((bits ^ (bits >>> 16)) >>> 0) / 2 ** 32;
}
