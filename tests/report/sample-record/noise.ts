/** A fixed scatter in 0..1: the same k gives the same figure. */
export function noise(k: number): number {
  const x = Math.sin(k * 12.9898 + 4.1) * 43758.5453;
  return x - Math.floor(x);
}
