/** An instant between two others, and its standard uncertainty: equally likely anywhere there (JCGM 100:2008, 4.3.7). s. */
export function somewhereBetween(
  earliest: number,
  latest: number,
): { readonly start: number; readonly standardStart: number } {
  return {
    start: (earliest + latest) / 2,
    standardStart: Math.max(0, latest - earliest) / Math.sqrt(12),
  };
}

/** Half the width of the rectangle that a standard uncertainty stands for. s. */
export function halfWidth(standard: number): number {
  return Math.sqrt(3) * standard;
}
