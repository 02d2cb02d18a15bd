import { benchBrokenText } from '../record/bench-after.ts';
import { type FindingLine, findingLines } from '../record/finding-line.ts';
import { partOf } from '../record/run-part.ts';
import type { RunRecord } from '../record/run-record.ts';
import type { RunIndex } from './open-index.ts';

/** What the index keeps of a run besides its record. */
export interface RunPlace {
  /** Name of the folder inside the archive. */
  readonly folder: string;
  readonly sealed: boolean;
  /** Length of the journal when it was read, bytes; null where there is none. A run that goes on outgrows it. */
  readonly journalBytes: number | null;
  /** Decision of the last sign-off; null where there is none. */
  readonly decision: string | null;
}

/** Runs that start in one millisecond still get keys of their own. */
const keysPerMillisecond = 1024;

/** Adds a run to the index, or replaces what the index knew of it. */
export function addRun(index: RunIndex, record: RunRecord, place: RunPlace): void {
  addRuns(index, [{ record, place }]);
}

/** Several at once share the pages that they change: an index is rebuilt much faster so. */
export function addRuns(
  index: RunIndex,
  runs: readonly { readonly record: RunRecord; readonly place: RunPlace }[],
): void {
  index.transaction(() => {
    for (const { record, place } of runs) addOne(index, record, place);
  });
}

function addOne(index: RunIndex, record: RunRecord, place: RunPlace): void {
  index.prepare('DELETE FROM run WHERE id = ? OR folder = ?').run(record.id, place.folder);
  const run = freeKey(index, record);
  index.prepare(insertRun).run(runRow(run, record, place));
  const claim = index.prepare('INSERT OR REPLACE INTO claim VALUES (?, ?, ?, ?)');
  for (const { spec, verdict, digest } of record.specs) claim.run(run, spec, verdict, digest);
  addFindings(index, run, record);
}

export function removeRun(index: RunIndex, folder: string): void {
  index.prepare('DELETE FROM run WHERE folder = ?').run(folder);
}

const columns = [
  'run',
  'id',
  'folder',
  'started',
  'ended',
  'sealed',
  'journal_bytes',
  'decision',
  'lamp',
  'build',
  'serial',
  'rig',
  'simulated',
  'seed',
  'faults',
  'verdict',
  'proved',
  'part',
  'claims',
  'findings',
  'lamp_time_s',
  'wall_time_s',
  'follows',
];
const insertRun = `INSERT INTO run (${columns.join()}) VALUES (${columns.map((name) => `@${name}`).join()})`;

function runRow(run: number, record: RunRecord, place: RunPlace): Record<string, unknown> {
  return {
    run,
    id: record.id,
    folder: place.folder,
    started: record.startedAt,
    ended: record.ended,
    sealed: Number(place.sealed),
    journal_bytes: place.journalBytes,
    decision: place.decision,
    lamp: record.lamp.name,
    build: record.lamp.build,
    serial: record.lamp.serial,
    rig: record.rig.name,
    simulated: Number(record.rig.simulated),
    seed: record.seed,
    faults: record.faults.length,
    verdict: record.verdict,
    proved: Number(benchBrokenText(record) === null),
    part: partOf(record),
    claims: JSON.stringify(record.totals.claims),
    findings: JSON.stringify(record.totals.findings),
    lamp_time_s: record.totals.lampTime,
    wall_time_s: record.totals.wallTime,
    follows: JSON.stringify(record.follows),
  };
}

/** Keys grow with time, so that the newest runs of a series are its last rows. */
function freeKey(index: RunIndex, { startedAt }: RunRecord): number {
  const taken = index.prepare('SELECT 1 FROM run WHERE run = ?');
  let key = Date.parse(startedAt) * keysPerMillisecond;
  while (taken.get(key)) key++;
  return key;
}

function addFindings(index: RunIndex, run: number, record: RunRecord): void {
  const find = index.prepare(
    `SELECT series FROM series WHERE metric = @metric AND lamp = @lamp AND spec = @spec AND condition = @condition
       AND repeat = @repeat AND of = @of AND during = @during AND ordinal = @ordinal`,
  );
  const create = index.prepare(
    `INSERT INTO series (metric, lamp, spec, condition, repeat, of, during, ordinal, title, unit, shown)
       VALUES (@metric, @lamp, @spec, @condition, @repeat, @of, @during, @ordinal, @title, @unit, @shown)`,
  );
  const insert = index.prepare(
    `INSERT INTO finding (series, run, value, not_measurable, expanded, lower, upper, target, verdict)
       VALUES (@series, @run, @value, @notMeasurable, @expanded, @lower, @upper, @target, @verdict)`,
  );
  for (const line of findingLines(record)) {
    const place = seriesOf(line, record.lamp.name);
    const known = find.get(place) as { series: number } | undefined;
    const series = known?.series ?? create.run(place);
    insert.run({ ...line, series, run });
  }
}

function seriesOf(line: FindingLine, lamp: string): Record<string, unknown> {
  return { ...line, lamp, during: line.during ?? '' };
}
