import type { DarkNoise } from './dark-noise.ts';

/**
 * What a lamp that does everything right may do with all that arrived at the lamp, on the condition's time line: said by a model of
 * the lamp, which a metric knows nothing of.
 */
export interface ModelledLamp {
  /** Bounds of a channel's mean light at an instant (s), relative to its full light. */
  levelAt(channel: string, at: number): LightBounds;
  /** Why the bounds at an instant say less than the lamp's standards do, in words; null where they do not. */
  whyWide(at: number): string | null;
  /** What the light of a channel follows at an instant, in words. */
  leadAt(channel: string, at: number): string;
  readonly answers: readonly ModelledAnswer[];
  /** Standard uncertainty of the instants at which things arrived at the lamp, on the records' time, s; 0 where they are known. */
  readonly standardInstant: number;
  /** Full light for so long is the least that its modulator can add to or take from a mean, s; 0 where there is no such least. */
  readonly pulse: number;
  /** Period after which its modulator repeats, s; absent where it has none. */
  readonly period?: number;
  /** How well each record is known, by the id of its capture. */
  readonly inputs: ReadonlyMap<string, InputDoubt>;
}

export interface LightBounds {
  readonly low: number;
  readonly high: number;
}

/** Standard uncertainties of a record, in its unit; its start in s. Absent where nobody has stated them. */
interface InputDoubt {
  readonly standardOffset?: number;
  readonly noise?: number;
  readonly dark?: DarkNoise;
  readonly standardStart?: number;
}

/** A message that asked for an answer, and what came. */
export interface ModelledAnswer {
  /** When it was over, s. */
  readonly at: number;
  /** The message, what came back, and what may have come, in words. */
  readonly asked: string;
  readonly found: string;
  readonly allowed: string;
  /** Null where nobody listened, or the model allows anything. */
  readonly isRight: boolean | null;
}
