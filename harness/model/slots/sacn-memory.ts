/** A sender of the lamp's universe. */
export interface SacnSource {
  readonly cid: string;
  readonly priority: number;
  readonly sequence: number;
  /** Instant of its last packet, s, and index of the event. */
  readonly at: number;
  readonly by: number;
  /** Slots that are in force; null where it has sent none that are. */
  readonly slots: readonly number[] | null;
  /** Its slots end within those of the lamp, and stand for it all the same: while it leads the lamp hears nothing. */
  readonly cut: boolean;
  /** Slots that wait for the synchronisation packet of an address. */
  readonly waiting: { readonly slots: readonly number[]; readonly address: number } | null;
}

/** Who synchronises an address, and when the last packet came, s. */
interface Synchroniser {
  readonly cid: string;
  readonly address: number;
  readonly sequence: number;
  readonly at: number;
  /** Whether packets have named no other address since the last one before it: who listens to another need not hear this one. */
  readonly awaited: boolean;
}

/** Somebody of whom nothing but packets without levels has come: the number of the last one, and when it came, s. */
interface Unlisted {
  readonly cid: string;
  readonly sequence: number;
  readonly at: number;
}

export interface SacnMemory {
  readonly sources: readonly SacnSource[];
  readonly unlisted: readonly Unlisted[];
  readonly synchronisers: readonly Synchroniser[];
  /** Synchronisation address that the last packet named; 0 for none. */
  readonly named: number;
  /** Slots that the light followed last, whatever source they came from; null before any. */
  readonly followed: readonly number[] | null;
  /** What the light was told last, as text; null before any. */
  readonly told: string | null;
  /** The same, of before all sources went. */
  readonly toldBefore: string | null;
  /** A source that went may count as there until then, s. */
  readonly lossSettles: number;
  /** Sources that all went may not be missed until then, s: the DMX512 line was there, or was only being lost. */
  readonly unmissedUntil: number;
  /** The source that fell silent last: it may not be missed until `lossSettles`. */
  readonly missed: SacnSource | null;
  /** Whether cut slots that the lamp does not count stand for their source; null until it matters. */
  readonly cutsStand: boolean | null;
}

export const noSources: SacnMemory = {
  sources: [],
  unlisted: [],
  synchronisers: [],
  named: 0,
  followed: null,
  told: null,
  toldBefore: null,
  lossSettles: Number.NEGATIVE_INFINITY,
  unmissedUntil: Number.NEGATIVE_INFINITY,
  missed: null,
  cutsStand: null,
};
