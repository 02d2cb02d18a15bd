/** One line of the table: how long (or how much) something takes, beside its yardstick measured in the same run. */
export interface Row {
  readonly name: string;
  readonly unit: 's' | 'MB';
  readonly figures: readonly number[];
  readonly yardstick: string;
  readonly beside: readonly number[];
  /** Of the medians: `speed` is yardstick / figure, `cost` is figure / yardstick. */
  readonly kind: 'speed' | 'cost';
  /** Least speed, or highest cost; null for a row that only informs. */
  readonly goal: number | null;
  readonly note?: string;
}

/** A row that could not be measured here, and what to do about it. */
export interface Missing {
  readonly name: string;
  readonly missing: string;
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

export function ratioOf({ figures, beside, kind }: Row): number {
  const [figure, yardstick] = [median(figures), median(beside)];
  return kind === 'speed' ? yardstick / figure : figure / yardstick;
}

export function isMet(row: Row): boolean | null {
  if (row.goal === null) return null;
  return row.kind === 'speed' ? ratioOf(row) >= row.goal : ratioOf(row) <= row.goal;
}

/** Runs two things in turn, so that both meet the same moods of the machine. Seconds each. */
export async function inTurn(
  runs: number,
  one: () => Promise<number> | number,
  other: () => Promise<number> | number,
): Promise<{ readonly figures: number[]; readonly beside: number[] }> {
  const [figures, beside]: [number[], number[]] = [[], []];
  for (let run = 0; run < runs; run++) {
    figures.push(await one());
    beside.push(await other());
  }
  return { figures, beside };
}

/** Seconds that something takes. */
export async function timed(work: () => Promise<unknown> | unknown): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}
