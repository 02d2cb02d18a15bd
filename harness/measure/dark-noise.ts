/**
 * What an input records with everything off, beside its zero and the white noise of single samples: errors that are alike
 * from one sample to the next. In the record's unit.
 */
export interface DarkNoise {
  /** Power of the noise that falls with frequency: its one-sided density is slow / f, unit². */
  readonly slow: number;
  /** Pickup, such as hum and its harmonics. */
  readonly lines: readonly DarkLine[];
  /** Standard deviation of the drift along a straight line, unit/s. */
  readonly drift: number;
}

export interface DarkLine {
  /** Hz. */
  readonly frequency: number;
  /** Peak amplitude. */
  readonly amplitude: number;
}

export const noDarkNoise: DarkNoise = { slow: 0, lines: [], drift: 0 };

/** Is there more than white noise? */
export function isColoured({ slow, lines, drift }: DarkNoise): boolean {
  return slow > 0 || lines.length > 0 || drift > 0;
}
