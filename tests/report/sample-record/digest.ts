/** A digest of the right shape that a reader of a golden file sees to be made up. */
export function digest(digit: string): string {
  return digit.repeat(64);
}
