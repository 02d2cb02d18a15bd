/** One condition of one run, as a single string: spec, key and repeat. A tab can stand in none of the three. */
export function conditionId(
  spec: string,
  condition: { readonly key: string; readonly repeat: number },
): string {
  return `${spec}\t${condition.key}\t${condition.repeat}`;
}
