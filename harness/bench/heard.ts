/** What arrived at a lamp, whichever way it came; `at` in s on one clock. */
export type Heard =
  /** A whole line on its console, as it was sent, without its end. */
  | { readonly kind: 'console'; readonly at: number; readonly line: string }
  /** Anything else on its console: what is no line, or several of them. */
  | { readonly kind: 'console-bytes'; readonly at: number; readonly bytes: readonly number[] }
  /** A forward frame of two or three bytes; `at` is the end of its stop condition. */
  | { readonly kind: 'dali'; readonly at: number; readonly frame: readonly number[] }
  | { readonly kind: 'dali-bus'; readonly at: number; readonly powered: boolean }
  /** A whole frame; `at` is the end of its mark after break: a lamp may act on slots as they come. */
  | {
      readonly kind: 'dmx';
      readonly at: number;
      readonly startCode: number;
      readonly slots: readonly number[];
      /** No break came: bytes stand behind the frame before, as if they were more slots of it. */
      readonly unframed?: true;
    }
  /** The signal is lost from here on, up to the next frame. */
  | { readonly kind: 'dmx-stops'; readonly at: number }
  | { readonly kind: 'sacn'; readonly at: number; readonly datagram: readonly number[] }
  /** At its terminals; 0 without power. */
  | { readonly kind: 'supply'; readonly at: number; readonly volts: number }
  | { readonly kind: 'reset'; readonly at: number }
  | { readonly kind: 'air'; readonly at: number; readonly celsius: number };

/** One kind of what arrives. */
export type HeardOf<Kind extends Heard['kind']> = Extract<Heard, { kind: Kind }>;

/** What whoever listened for an answer of the lamp heard, by the time that it had to come. `at`: of the message that asked, s. */
export type Answered =
  /** Null where it stayed silent. */
  | { readonly kind: 'dali'; readonly at: number; readonly byte: number | null }
  | { readonly kind: 'console'; readonly at: number; readonly lines: readonly string[] };

/** Everything that was sent to a lamp since its bench was opened, on the bench's clock, and what came back. */
export interface HeardStory {
  /** In order. */
  readonly heard: readonly Heard[];
  /** Of messages whose answer somebody listened for. */
  readonly answered: readonly Answered[];
  /**
   * Longest time by link in which a message may have arrived, s: `at` is the middle of it, or the end of a frame of a stream. Absent where
   * every instant is exact.
   */
  readonly slowest?: ReadonlyMap<string, number>;
}
