/** A tolerance in the metric's SI unit: either side may be open. */
export interface Limits {
  readonly lower: number | null;
  readonly upper: number | null;
  /** The aim, where the spec states one. */
  readonly target: number | null;
  /** As the spec writes it, for people: `2 s ± 5 %`, `at most 20 ms`. */
  readonly text: string;
}
