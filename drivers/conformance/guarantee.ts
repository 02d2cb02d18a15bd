import type { Call, Instrument } from '../../harness/bench/ports.ts';

/** An instrument that is held to the promises of its port. */
export interface Candidate {
  /** The lamp at the instrument, as far as it is tried on it: nominal supply, V, and the names of its channels. */
  readonly lamp: {
    readonly supply: { readonly nominal: number };
    readonly channels: readonly { readonly channel: string }[];
  };
  /** Opens the instrument anew; the suite closes what it opened. */
  open(): Promise<Instrument>;
  /** Seconds that an ordinary call may take. */
  readonly deadline: number;
  /** V; a supply is tried at the lamp's nominal voltage and asked for more than this. */
  readonly highestVolts?: number;
  /** °C; a chamber is asked for its present temperature, and for more than this. */
  readonly highestCelsius?: number;
  /** Its clock is simulated: a record takes no time. */
  readonly virtual?: boolean;
  /** A record that the digitiser can take, where 10 kS/s for 50 ms is none. */
  readonly record?: { readonly rate: number; readonly duration: number };
}

/** What an instrument is. */
export type Kind = Instrument['kind'];

/** One promise, held against one instrument. */
export interface Guarantee<K extends Kind = Kind> {
  /** A sentence of what is promised. */
  readonly guarantee: string;
  readonly kinds: readonly K[];
  /** Resolves when kept; throws Broken, or Unproven where this instrument gives no chance to see it. */
  check(instrument: Extract<Instrument, { kind: K }>, candidate: Candidate): Promise<void>;
}

/** The promise was broken; the message says what was expected and what happened. */
export class Broken extends Error {
  override readonly name = 'Broken';
}

/** Nothing can be said; the message is the reason. */
export class Unproven extends Error {
  override readonly name = 'Unproven';
}

export function expectThat(condition: boolean, otherwise: string): asserts condition {
  if (!condition) throw new Broken(otherwise);
}

/** An ordinary call. */
export function plainCall({ deadline }: Candidate): Call {
  return { deadline, signal: new AbortController().signal };
}
