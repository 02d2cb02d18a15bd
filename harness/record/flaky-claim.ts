/** A claim that came out both ways though neither the build, the lamp, the rig nor the spec changed. */
export interface FlakyClaim {
  readonly spec: string;
  readonly lamp: string;
  readonly build: string;
  readonly rig: string;
  readonly runs: number;
  readonly passed: number;
  readonly failed: number;
  /** How often the verdict turned from one run to the next. */
  readonly turns: number;
  /** ISO 8601, of the youngest run. */
  readonly last: string;
}
