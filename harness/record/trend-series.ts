import type { Verdict } from '../verdict/verdict.ts';

/** One run's finding in a trend. */
export interface TrendPoint {
  readonly id: string;
  readonly folder: string;
  readonly started: string;
  readonly build: string;
  /** SI; null where it could not be measured. */
  readonly value: number | null;
  readonly expanded: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly verdict: Verdict;
}

/** One metric of one subject under one condition, over the runs. */
export interface TrendSeries {
  readonly metric: string;
  readonly title: string;
  readonly lamp: string;
  readonly spec: string;
  readonly condition: string;
  readonly repeat: number;
  readonly of: string;
  readonly during: string | null;
  readonly ordinal: number;
  readonly unit: string;
  readonly shown: string;
  /** Oldest first. */
  readonly points: readonly TrendPoint[];
}
