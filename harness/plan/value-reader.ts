import type { Lamp } from '../bench/lamp.ts';
import type { PathStep } from '../files/issue.ts';
import type { FigureOptions } from '../files/read-figure.ts';
import type { Dimension } from '../units/unit.ts';

/** A scalar as written in a spec. */
export type Raw = string | number;

/**
 * A place in a spec file, read for one lamp and one point of the matrix: puts in what `$names` stand for, turns figures
 * into SI, and reports issues at this place.
 */
export interface ValueReader {
  readonly lamp: Lamp;
  /** The lamp has what the spec needs. Otherwise what the spec says of the lamp is not held against this one. */
  readonly lampFits: boolean;
  /** The place of a key or an entry within this one. */
  at(...keys: readonly PathStep[]): ValueReader;
  /** A text with every `$name` put in; an unknown name stays, and is reported. */
  text(written: Raw, on?: 'value' | 'key'): string;
  /** A figure in SI; NaN where it is none (reported). */
  figure(written: Raw, dimension: Dimension, options?: FigureOptions): number;
  /** A whole number within bounds; NaN where it is none (reported). */
  whole(written: Raw, least: number, most: number): number;
  /** An issue here; where `written` holds a `$name`, the message ends with its value. */
  report(message: string, written?: unknown, on?: 'value' | 'key'): void;
}
