/** What the firmware set a channel's modulator to: each of `values` from its instant until the next. */
export interface DriveTrack {
  readonly channel: string;
  /** Of the modulator as it was set up last: the value that is fully on. */
  readonly full: number;
  /** s on the bench's clock. */
  readonly at: readonly number[];
  /** As the firmware wrote them. */
  readonly values: readonly number[];
  /** Changes from this instant on were not kept, s; null where all were. */
  readonly until: number | null;
}
