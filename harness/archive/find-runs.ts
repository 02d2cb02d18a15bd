import { partOf, type RunPart } from '../record/run-part.ts';
import type { RunRecord } from '../record/run-record.ts';
import type { Verdict } from '../verdict/verdict.ts';
import type { RunIndex } from './open-index.ts';

export interface RunFilter {
  readonly lamp?: string | undefined;
  readonly build?: string | undefined;
  readonly verdict?: string | undefined;
  /** ISO 8601; runs that started at or after it. */
  readonly since?: string | undefined;
  /** Part of an id, a folder's name, a lamp, a build, a serial number or a rig, in whatever case. */
  readonly text?: string | undefined;
  /** Only complete, sealed runs, which can be decided on; or of them those that somebody decided on. */
  readonly signOff?: 'complete' | 'decided' | undefined;
  /** Newest runs to leave out, for a list in pages. */
  readonly skip?: number | undefined;
  readonly limit?: number | undefined;
}

/** One run as the index knows it. */
export interface RunRow {
  readonly id: string;
  readonly folder: string;
  readonly started: string;
  readonly ended: string;
  readonly sealed: boolean;
  readonly decision: string | null;
  readonly lamp: string;
  readonly build: string;
  readonly serial: string;
  readonly rig: string;
  readonly simulated: boolean;
  readonly seed: number;
  readonly faults: number;
  readonly verdict: Verdict;
  readonly part: RunPart | null;
  readonly claims: Readonly<Record<string, number>>;
  readonly findings: Readonly<Record<string, number>>;
  /** s */
  readonly lampTime: number;
  /** s */
  readonly wallTime: number;
  readonly follows: readonly { readonly id: string; readonly how: string }[];
}

type Raw = Omit<RunRow, 'sealed' | 'simulated' | 'claims' | 'findings' | 'follows'> &
  Record<'sealed' | 'simulated', number> &
  Record<'claims' | 'findings' | 'follows', string> & {
    readonly run: number;
    readonly journal_bytes: number | null;
    readonly lamp_time_s: number;
    readonly wall_time_s: number;
  };

/** The runs that fit, newest first. */
export function findRuns(index: RunIndex, filter: RunFilter = {}): RunRow[] {
  const where = whereOf(filter);
  const statement = index.prepare(
    `SELECT * FROM run ${where} ORDER BY run DESC LIMIT @limit OFFSET @skip`,
  );
  const rows = statement.all({
    ...filter,
    limit: filter.limit ?? -1,
    skip: filter.skip ?? 0,
  }) as Raw[];
  return rows.map(runOf);
}

/** How many runs fit, whatever `limit` and `skip` say. */
export function countRuns(index: RunIndex, filter: RunFilter = {}): number {
  const statement = index.prepare(`SELECT count(*) FROM run ${whereOf(filter)}`).pluck();
  return statement.get({ ...filter }) as number;
}

function whereOf(filter: RunFilter): string {
  const tests: string[] = [];
  if (filter.lamp !== undefined) tests.push('lamp = @lamp COLLATE NOCASE');
  if (filter.build !== undefined) tests.push('build = @build');
  if (filter.verdict !== undefined) tests.push('verdict = @verdict');
  if (filter.since !== undefined) tests.push('started >= @since');
  if (filter.signOff !== undefined) tests.push("sealed AND ended = 'complete'");
  if (filter.signOff === 'decided') tests.push('decision IS NOT NULL');
  if (filter.text !== undefined) {
    const words =
      "id || ' ' || folder || ' ' || lamp || ' ' || build || ' ' || serial || ' ' || rig";
    tests.push(`instr(lower(${words}), lower(@text)) > 0`);
  }
  return tests.length > 0 ? `WHERE ${tests.join(' AND ')}` : '';
}

function runOf({
  run: _run,
  journal_bytes: _bytes,
  lamp_time_s,
  wall_time_s,
  ...row
}: Raw): RunRow {
  return {
    ...row,
    sealed: Boolean(row.sealed),
    simulated: Boolean(row.simulated),
    claims: JSON.parse(row.claims),
    findings: JSON.parse(row.findings),
    lampTime: lamp_time_s,
    wallTime: wall_time_s,
    follows: JSON.parse(row.follows),
  };
}

/** The same row as the run's own record tells it. */
export function rowOfRecord(
  record: RunRecord,
  { folder, sealed, decision }: Pick<RunRow, 'folder' | 'sealed' | 'decision'>,
): RunRow {
  const { lamp, rig, totals } = record;
  return {
    ...{ id: record.id, folder, started: record.startedAt, ended: record.ended, sealed, decision },
    ...{ lamp: lamp.name, build: lamp.build, serial: lamp.serial },
    ...{ rig: rig.name, simulated: rig.simulated, seed: record.seed },
    ...{ faults: record.faults.length, verdict: record.verdict, part: partOf(record) },
    ...{ claims: totals.claims, findings: totals.findings },
    ...{ lampTime: totals.lampTime, wallTime: totals.wallTime, follows: record.follows },
  };
}
