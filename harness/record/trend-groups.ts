import type { JudgedTrend } from './trend.ts';

/** Series that are read together: those of one claim, or of one metric, on one lamp. */
export interface TrendGroup {
  /** The claim, or the metric. */
  readonly name: string;
  readonly lamp: string;
  /** The series that drifts most. */
  readonly leading: JudgedTrend;
  /** By drift, the largest first. */
  readonly trends: readonly JudgedTrend[];
}

/** Groups by the drift of their leading series, the largest first. */
export function groupTrends(trends: readonly JudgedTrend[], by: 'claim' | 'metric'): TrendGroup[] {
  const groups = new Map<string, JudgedTrend[]>();
  for (const trend of largestDriftFirst(trends)) {
    const { spec, metric, lamp } = trend.series;
    const key = `${by === 'claim' ? spec : metric}\t${lamp}`;
    groups.set(key, [...(groups.get(key) ?? []), trend]);
  }
  return [...groups].flatMap(([key, own]) => {
    const [name = '', lamp = ''] = key.split('\t');
    const [leading] = own;
    return leading ? [{ name, lamp, leading, trends: own }] : [];
  });
}

/**
 * By the size of the drift as a share of the tolerance, the largest first; at one share what gets worse goes first, then what has left its
 * usual range. A drift of something that must be exact goes before all, what has too few runs or no limit comes last.
 */
export function largestDriftFirst(trends: readonly JudgedTrend[]): JudgedTrend[] {
  return [...trends].sort(
    (a, b) =>
      rankOf(b) - rankOf(a) || turnOf(a) - turnOf(b) || Number(b.drifting) - Number(a.drifting),
  );
}

function rankOf({ drift }: JudgedTrend): number {
  if (drift === null) return -2;
  if (drift.share !== null) return drift.share;
  if (drift.course === null) return -1;
  return drift.change === 0 ? 0 : Number.MAX_VALUE;
}

function turnOf({ drift }: JudgedTrend): number {
  return drift?.course === 'worse' ? 0 : 1;
}
