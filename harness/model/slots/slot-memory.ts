/** What a lamp knows of the frames of its DMX512 line. */
export interface SlotMemory {
  /** Slot n at n - 1, as far as it was ever sent. */
  readonly values: readonly number[];
  /** A frame came since power-on, and the signal is there. */
  readonly alive: boolean;
  /**
   * When the signal went, s, and after which event; null where it has not, or the lamp has acted on it. `noticed`: instant from which the
   * lamp takes it for lost.
   */
  readonly lost: { readonly at: number; readonly by: number; readonly noticed: number } | null;
  /** First slot of the lamp, where RDM set it. */
  readonly firstSlot: number | null;
}

export const noFrames: SlotMemory = { values: [], alive: false, lost: null, firstSlot: null };
