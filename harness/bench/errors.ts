/** What can go wrong between us and an instrument: a closed list. None of them says anything about the lamp. */
export const benchErrorKinds = [
  'timeout',
  'refused',
  'closed',
  'garbled',
  'overload',
  'unsupported',
  'identity-mismatch',
  /** A record that is not new. */
  'stale',
  /** A record, reading or command that did not come in the time it was to. */
  'late',
  /** The supply did not deliver what it was told to. */
  'supply-fault',
  /** More than one device answered. */
  'collision',
  'cancelled',
] as const;

export type BenchErrorKind = (typeof benchErrorKinds)[number];

/** Every error that a driver throws. `message` is a whole sentence: expected, found, what to do. */
export class BenchError extends Error {
  override readonly name = 'BenchError';
  readonly kind: BenchErrorKind;
  /** The instrument's name in the rig file. */
  readonly instrument: string;
  constructor(kind: BenchErrorKind, instrument: string, message: string, options?: ErrorOptions) {
    super(message, options);
    this.kind = kind;
    this.instrument = instrument;
  }
}

/**
 * Whether a driver threw a bench error: an object with a `kind` of the closed list and a `message`. Known by that, and not by
 * its class: a driver of its own package has a class of its own, or none.
 */
export function isBenchError(
  thrown: unknown,
): thrown is { readonly kind: BenchErrorKind; readonly message: string } {
  if (typeof thrown !== 'object' || thrown === null) return false;
  const { kind, message } = thrown as Readonly<Record<string, unknown>>;
  return typeof message === 'string' && benchErrorKinds.some((one) => one === kind);
}

/** How a lamp failed beside what it shows: its firmware stopped, it refused a valid command, it fell silent for good. */
export type LampFailureManner = 'stopped' | 'refused' | 'silent';

/**
 * The lamp itself broke (its firmware trapped, spun for ever, asked for an unknown import), or its own words prove that it
 * does not do what its file says: a failure of the lamp, not of the bench.
 */
export class LampFailure extends Error {
  override readonly name = 'LampFailure';
  /** Instant on the bench's clock, s, where it is known; on the condition's time line once that has begun. */
  readonly at: number | undefined;
  readonly manner: LampFailureManner;
  constructor(
    message: string,
    at?: number,
    { manner = 'stopped', ...options }: ErrorOptions & { manner?: LampFailureManner } = {},
  ) {
    super(message, options);
    this.at = at;
    this.manner = manner;
  }
}
