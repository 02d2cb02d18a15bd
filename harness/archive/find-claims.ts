import type { Verdict } from '../verdict/verdict.ts';
import type { RunIndex } from './open-index.ts';

interface ClaimFilter {
  readonly lamp: string;
  /** Every build where none is named. */
  readonly build?: string | undefined;
  readonly spec?: string | undefined;
  /** Runs with a seeded fault are left out unless this is set: they say nothing of the lamp. */
  readonly withFaults?: boolean | undefined;
  readonly limit?: number | undefined;
}

/** A claim in a run, as the index knows it. */
export interface ClaimRow {
  readonly spec: string;
  readonly verdict: Verdict;
  readonly id: string;
  readonly folder: string;
  readonly started: string;
  readonly build: string;
}

/** Claims of the runs that fit, those of the newest run first. */
export function findClaims(index: RunIndex, filter: ClaimFilter): ClaimRow[] {
  const tests = ['lamp = @lamp COLLATE NOCASE', 'faults <= @faults'];
  if (filter.build !== undefined) tests.push('build = @build');
  if (filter.spec !== undefined) tests.push('spec = @spec');
  const query = index.prepare(
    `SELECT c.spec, c.verdict, id, folder, started, build FROM run CROSS JOIN claim c USING (run)
     WHERE ${tests.join(' AND ')} ORDER BY run DESC LIMIT @limit`,
  );
  return query.all({
    ...filter,
    faults: filter.withFaults ? Number.MAX_SAFE_INTEGER : 0,
    limit: filter.limit ?? -1,
  }) as ClaimRow[];
}
