/** Something that a rig cannot do for a claim, known before anything is powered. */
export interface Doubt {
  /** `refuse`: the claim cannot be proved here; `warn`: it can, but not well. */
  readonly severity: 'refuse' | 'warn';
  /** The metric that it is about, or null for the claim as a whole. */
  readonly metric: string | null;
  /** Line of the criterion in the spec, or null. */
  readonly line: number | null;
  /** What is needed, what the rig has, what would be enough. */
  readonly message: string;
}

/** The same sentence for several conditions or channels is told once. */
export function distinct(doubts: readonly Doubt[]): Doubt[] {
  const seen = new Set<string>();
  return doubts.filter(({ severity, metric, message }) => {
    const key = `${severity} ${metric} ${message}`;
    return !seen.has(key) && seen.add(key);
  });
}
