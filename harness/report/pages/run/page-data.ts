import type { Finding, RunRecord } from '../../../record/run-record.ts';

type Chart = Finding['evidence']['charts'][number];
type Line = Chart['lines'][number];

/** The record inside the page; charts lie apart, so that the page opens before they are read. */
export interface PageRun {
  readonly record: RunRecord;
}

/** Charts by claim and finding (`claim.condition.finding`, counted from 0), and traces by the capture's file name. */
export interface PageEvidence {
  readonly charts: Readonly<Record<string, readonly StoredChart[]>>;
  readonly traces: Readonly<Record<string, StoredTrace>>;
  /** Findings whose charts were left out to keep the page small. */
  readonly leftOut: number;
}

/** A chart as it is stored: evenly spaced x are told by start, step and count. */
export interface StoredChart extends Omit<Chart, 'lines'> {
  readonly lines: readonly StoredLine[];
}

export interface StoredLine extends Omit<Line, 'x'> {
  readonly x: readonly number[] | Even;
}

interface Even {
  readonly from: number;
  readonly step: number;
  readonly count: number;
}

export interface StoredTrace {
  readonly unit: string;
  readonly x: Even;
  readonly min: readonly number[];
  /** Absent where it equals `min`: a sample each. */
  readonly max?: readonly number[];
}

export function evidenceKey(claim: number, condition: number, finding: number): string {
  return `${claim}.${condition}.${finding}`;
}

export function xsOf(x: StoredLine['x']): readonly number[] {
  if (!('count' in x)) return x;
  const { from, step, count } = x;
  return Array.from({ length: count }, (_, k) => from + k * step);
}
