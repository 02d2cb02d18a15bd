import { ArchiveError } from './archive-error.ts';
import { SqliteDatabase } from './sqlite.ts';

/** The derived index of an archive; lies beside the run folders and can be thrown away at any time. */
export const indexFile = 'index.sqlite';

/** Raised with every change of the tables. An older index is dropped and filled again from the folders. */
const indexVersion = 4;

export type RunIndex = SqliteDatabase;

/**
 * Runs that say something of a build: complete, sealed, on a bench that was good at the end, without a seeded fault, and no shard, whose results
 * the merged run has. A query has to say it in these words to be served by `run_by_build`.
 */
export const countedRun =
  "sealed AND ended = 'complete' AND proved AND faults = 0 AND part IS NOT 'shard'";

/*
 * run.run orders by time (see add-run.ts), so that `finding`, clustered by series and run, holds each trend as one
 * stretch of the file. Figures SI; names carry the unit where SQL cannot.
 */
const tables = `
CREATE TABLE run (
  run INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  folder TEXT NOT NULL UNIQUE,
  started TEXT NOT NULL,
  ended TEXT NOT NULL,
  sealed INTEGER NOT NULL,
  journal_bytes INTEGER,
  decision TEXT,
  lamp TEXT NOT NULL, build TEXT NOT NULL, serial TEXT NOT NULL,
  rig TEXT NOT NULL, simulated INTEGER NOT NULL,
  seed INTEGER NOT NULL, faults INTEGER NOT NULL,
  verdict TEXT NOT NULL, proved INTEGER NOT NULL,
  part TEXT,
  claims TEXT NOT NULL, findings TEXT NOT NULL,
  lamp_time_s REAL NOT NULL, wall_time_s REAL NOT NULL,
  follows TEXT NOT NULL
);
CREATE INDEX run_by_lamp ON run (lamp, build);
CREATE INDEX run_by_verdict ON run (verdict);
CREATE INDEX run_unsealed ON run (folder) WHERE NOT sealed;
CREATE INDEX run_by_build ON run (lamp, simulated, build, run, part) WHERE ${countedRun};
CREATE INDEX run_decided ON run (run) WHERE decision IS NOT NULL;
CREATE TABLE claim (
  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,
  spec TEXT NOT NULL, verdict TEXT NOT NULL, digest TEXT NOT NULL,
  PRIMARY KEY (run, spec)
) WITHOUT ROWID;
CREATE TABLE series (
  series INTEGER PRIMARY KEY,
  metric TEXT NOT NULL, lamp TEXT NOT NULL, spec TEXT NOT NULL,
  condition TEXT NOT NULL, repeat INTEGER NOT NULL,
  of TEXT NOT NULL, during TEXT NOT NULL, ordinal INTEGER NOT NULL,
  title TEXT NOT NULL, unit TEXT NOT NULL, shown TEXT NOT NULL,
  UNIQUE (metric, lamp, spec, condition, repeat, of, during, ordinal)
);
CREATE TABLE finding (
  series INTEGER NOT NULL REFERENCES series,
  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,
  value REAL, not_measurable TEXT, expanded REAL,
  lower REAL, upper REAL, target REAL,
  verdict TEXT NOT NULL,
  PRIMARY KEY (series, run)
) WITHOUT ROWID;
CREATE INDEX finding_by_run ON finding (run);
`;

/** Opens or creates the index. Rejects with `newer` or `damaged`; close it with `close()`. */
export function openIndex(file: string): RunIndex {
  const index = new SqliteDatabase(file);
  try {
    index.writeAhead();
    index.exec('PRAGMA synchronous = NORMAL');
    index.exec('PRAGMA foreign_keys = ON');
    // Rows of a run are spread over its series: room for their pages keeps them from being written twice.
    index.exec('PRAGMA cache_size = -64000');
    prepareTables(index, file);
    return index;
  } catch (error) {
    index.close();
    if (error instanceof ArchiveError) throw error;
    const why = (error as Error).message;
    const text = `${file} cannot be used as an index (${why}); make it again with evenfall runs --rebuild`;
    throw new ArchiveError('damaged', text, { cause: error });
  }
}

function prepareTables(index: RunIndex, file: string): void {
  const version = versionOf(index);
  if (version === indexVersion) return;
  if (version > indexVersion) {
    const text = `${file} was made by a later Evenfall (index version ${version}, this one knows ${indexVersion}); use that one, or make it again with evenfall runs --rebuild`;
    throw new ArchiveError('newer', text);
  }
  index.transaction(() => {
    // Another process may have made them meanwhile, and begun to fill them.
    if (versionOf(index) === indexVersion) return;
    for (const table of ['finding', 'series', 'claim', 'run']) {
      index.exec(`DROP TABLE IF EXISTS ${table}`);
    }
    index.exec(tables);
    index.exec(`PRAGMA user_version = ${indexVersion}`);
  });
}

function versionOf(index: RunIndex): number {
  return index.prepare('PRAGMA user_version').pluck().get() as number;
}
