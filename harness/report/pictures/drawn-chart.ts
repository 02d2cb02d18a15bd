import type { Finding } from '../../record/run-record.ts';

/** A chart as a record has it. */
export type Chart = Finding['evidence']['charts'][number];

/** A chart ready to draw; those of a record are. */
export interface DrawnChart extends Pick<Chart, 'kind' | 'title' | 'x' | 'y'> {
  readonly lines: readonly DrawnLine[];
  readonly marks: readonly Chart['marks'][number][];
}

export interface DrawnLine extends Pick<Chart['lines'][number], 'name' | 'role'> {
  readonly x: readonly number[];
  readonly y: readonly number[];
  /** Lowest samples, where `y` holds the highest of each interval. */
  readonly low?: readonly number[];
}
