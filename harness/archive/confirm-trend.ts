import { join } from 'node:path';
import { type FindingLine, findingKey, findingLines } from '../record/finding-line.ts';
import type { TrendPoint, TrendSeries } from '../record/trend.ts';
import { type CheckedSeal, glanceAtSeal } from './check-seal.ts';
import { readRun } from './read-run.ts';
import { recordFile } from './record-file.ts';
import type { Reading } from './verify-run.ts';

export interface ConfirmedTrend {
  /** Of runs that are as they were stored alone. */
  readonly series: readonly TrendSeries[];
  /** Runs that were altered and left out, by their folders. */
  readonly altered: ReadonlyMap<string, CheckedSeal>;
}

/**
 * A trend with every figure taken from the record of its run: the index only says where to look. A run that was altered gives no
 * point. `reading` says how files are read: every byte of them, unless given.
 */
export async function confirmTrend(
  root: string,
  series: readonly TrendSeries[],
  reading: Reading = {},
): Promise<ConfirmedTrend> {
  const altered = new Map<string, CheckedSeal>();
  const runs = new Map<string, Told>();
  for (const folder of new Set(series.flatMap(({ points }) => points.map((one) => one.folder)))) {
    const seal = await glanceAtSeal(join(root, folder), reading.hash);
    const told = seal.state === 'altered' ? null : await toldBy(join(root, folder), seal, reading);
    if (told === null) altered.set(folder, seal);
    else if ('problems' in told) altered.set(folder, told);
    else runs.set(folder, told);
  }
  const confirmed = series.map((one) => confirmSeries(one, runs));
  return { series: confirmed.filter(({ points }) => points.length > 0), altered };
}

/** What a run's record says, one run in memory at a time. */
interface Told {
  readonly at: Pick<TrendPoint, 'id' | 'started' | 'build'>;
  readonly lines: ReadonlyMap<string, FindingLine>;
}

async function toldBy(
  path: string,
  { state }: CheckedSeal,
  { record: read }: Reading,
): Promise<Told | CheckedSeal> {
  try {
    const record =
      state === 'sealed' && read
        ? await read(path)
        : (await readRun(path, { hashed: false, curves: false })).record;
    const { id, startedAt: started, lamp } = record;
    const lines = new Map(findingLines(record).map((line) => [findingKey(line), line]));
    return { at: { id, started, build: lamp.build }, lines };
  } catch (error) {
    const problem = { file: recordFile, text: `cannot be read: ${(error as Error).message}` };
    return { state: 'altered', problems: [problem] };
  }
}

function confirmSeries(series: TrendSeries, runs: ReadonlyMap<string, Told>): TrendSeries {
  let told: FindingLine | undefined;
  const points = series.points.flatMap(({ folder }): TrendPoint[] => {
    const run = runs.get(folder);
    const line = run?.lines.get(findingKey(series));
    if (!run || !line) return [];
    told = line;
    const { value, expanded, lower, upper, verdict } = line;
    return [{ ...run.at, folder, value, expanded, lower, upper, verdict }];
  });
  return told
    ? { ...series, title: told.title, unit: told.unit, shown: told.shown, points }
    : { ...series, points };
}
