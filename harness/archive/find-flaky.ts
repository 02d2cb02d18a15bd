import type { FlakyClaim } from '../record/trend.ts';
import type { RunIndex } from './open-index.ts';

/** Runs with a seeded fault do not count, nor those of a bench that was not good at the end, nor shards, whose results the merged run has, nor verdicts that say nothing of the lamp. Most turns first. */
export function findFlaky(
  index: RunIndex,
  filter: {
    readonly lamp?: string | undefined;
    readonly since?: string | undefined;
    /** Only the newest runs are looked at, this many. */
    readonly last: number;
  },
): FlakyClaim[] {
  const query = index.prepare(`
    WITH recent AS (
      SELECT * FROM run WHERE faults = 0 AND proved AND part IS NOT 'shard' AND started >= @since AND (@lamp IS NULL OR lamp = @lamp COLLATE NOCASE)
      ORDER BY run DESC LIMIT @last
    ), told AS (
      SELECT spec, digest, lamp, build, serial, rig, started, c.verdict,
        lag(c.verdict) OVER (PARTITION BY spec, digest, lamp, build, serial, rig ORDER BY c.run) AS before
      FROM recent CROSS JOIN claim c USING (run) WHERE c.verdict IN ('pass', 'fail')
    )
    SELECT spec, lamp, build, rig, count(*) AS runs, sum(verdict = 'pass') AS passed,
      sum(verdict = 'fail') AS failed, sum(verdict <> before) AS turns, max(started) AS last
    FROM told GROUP BY spec, digest, lamp, build, serial, rig
    HAVING passed > 0 AND failed > 0 ORDER BY turns DESC, last DESC`);
  return query.all({
    lamp: filter.lamp ?? null,
    since: filter.since ?? '',
    last: filter.last,
  }) as FlakyClaim[];
}
