import type { TableLamp } from '../record/build-table.ts';
import { countedRun, type RunIndex } from './open-index.ts';

/** A build on one lamp, real or simulated. Keys of runs grow with time. */
export interface BuildOnLamp {
  readonly build: string;
  /** Key of its first run. */
  readonly first: number;
  readonly runs: number;
}

/** The newest builds of a lamp, newest first: in the order of their first runs, which is what an archive knows of it. */
export function buildsOfLamp(
  index: RunIndex,
  { lamp, simulated }: TableLamp,
  most: number,
): BuildOnLamp[] {
  const query = index.prepare(
    `SELECT build, min(run) AS first, count(*) AS runs FROM run
     WHERE ${countedRun} AND lamp = @lamp AND simulated = @simulated GROUP BY build ORDER BY first DESC LIMIT @most`,
  );
  return query.all({ lamp, simulated: Number(simulated), most }) as BuildOnLamp[];
}
