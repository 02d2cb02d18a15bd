/** A 32-bit seed from a run's seed and words (FNV-1a, then a finaliser): the same words, the same seed, in any order of execution. */
export function seedOf(seed: number, ...words: readonly (string | number)[]): number {
  let hash = 0x811c9dc5;
  for (const character of `${seed}\u0000${words.join('\u0000')}`) {
    hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}
