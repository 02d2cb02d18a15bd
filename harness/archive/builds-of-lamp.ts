import { descending } from 'd3-array';
import { orderByVersion } from '../record/build-order.ts';
import type { TableLamp } from '../record/build-table.ts';
import { countedRun, type RunIndex } from './open-index.ts';

/** A build on one lamp, real or simulated. Keys of runs grow with time. */
export interface BuildOnLamp {
  readonly build: string;
  /** Key of its first run. */
  readonly first: number;
  /** Key of its first run that is not of claims by name; null where it has none. */
  readonly firstWhole: number | null;
  readonly runs: number;
}

/** The builds of a lamp that came up last, newest first as `newestFirst` has it. */
export function buildsOfLamp(
  index: RunIndex,
  { lamp, simulated }: TableLamp,
  most: number,
): BuildOnLamp[] {
  const query = index.prepare(
    `SELECT build, min(run) AS first, min(iif(part IS NULL, run, NULL)) AS firstWhole, count(*) AS runs FROM run
     WHERE ${countedRun} AND lamp = @lamp AND simulated = @simulated GROUP BY build ORDER BY first DESC LIMIT @most`,
  );
  const found = query.all({ lamp, simulated: Number(simulated), most }) as BuildOnLamp[];
  return newestFirst(found).builds;
}

/**
 * Builds by their versions, where all names are some; otherwise in the order of their first runs, which is what an archive knows of it. An
 * older build that is tried later, claim by claim, is not the newest for that: only a run of a whole selection says that it came out.
 */
export function newestFirst<Build extends Pick<BuildOnLamp, 'build' | 'first' | 'firstWhole'>>(
  builds: readonly Build[],
): { readonly order: 'versions' | 'first runs'; readonly builds: Build[] } {
  const byVersion = orderByVersion(builds.map(({ build }) => build));
  const byFirst = (a: Build, b: Build) =>
    descending(a.firstWhole ?? a.first, b.firstWhole ?? b.first);
  return {
    order: byVersion ? 'versions' : 'first runs',
    builds: builds.toSorted((a, b) => byVersion?.(b.build, a.build) || byFirst(a, b)),
  };
}

/** The builds whose place is known, which say between which ones something broke. `builds` are those of one lamp. */
export function placedBuilds(builds: readonly BuildOnLamp[]): BuildOnLamp[] {
  const { order } = newestFirst(builds);
  return builds.filter(({ firstWhole }) => order === 'versions' || firstWhole !== null);
}
