/** One look at the bench before the first claim. */
export interface BeforeCheck {
  readonly check: 'dark' | 'saturation' | 'stable' | 'reference' | 'linearity' | 'check-standard';
  readonly good: boolean;
  /** What was found and what was allowed. */
  readonly text: string;
}
