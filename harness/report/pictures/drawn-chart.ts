import type { Finding } from '../../record/run-record.ts';

/** A chart as a record has it. */
export type EvidenceChart = Finding['evidence']['charts'][number];

/** A chart ready to draw; those of a record are. */
export interface DrawnChart extends Pick<EvidenceChart, 'kind' | 'title' | 'x' | 'y'> {
  readonly lines: readonly DrawnLine[];
  readonly marks: readonly EvidenceChart['marks'][number][];
  /** Least room for the figures beside the upright axis, so that pictures under one another share the level one. */
  readonly gutter?: number;
}

export interface DrawnLine extends Pick<EvidenceChart['lines'][number], 'name' | 'role'> {
  readonly x: readonly number[];
  readonly y: readonly number[];
  /** Lowest samples, where `y` holds the highest of each interval. */
  readonly low?: readonly number[];
}
