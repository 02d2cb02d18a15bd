/** A line that firmware logged; `at` in s on the bench's clock. Its text is plain: what is no text in it is shown as `<U+001B>` or `<0xFF>`. */
export interface LoggedLine {
  readonly at: number;
  readonly text: string;
}

/** Lines of a log between the first and the last that were kept. */
export interface DroppedLines {
  readonly lines: number;
  /** Of their texts. */
  readonly bytes: number;
  /** Instants of the first and the last of them, s. */
  readonly from: number;
  readonly to: number;
}

/** What firmware logged since its bench was opened, in order of time. */
export interface FirmwareLog {
  readonly lines: readonly LoggedLine[];
  /** Null where all of it is there. */
  readonly dropped: DroppedLines | null;
}
