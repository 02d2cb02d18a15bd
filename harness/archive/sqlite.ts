import { createRequire } from 'node:module';
import type { DatabaseSyncInstance, StatementSyncInstance } from '@photostructure/sqlite';
import { ArchiveError } from './archive-error.ts';

type Value = string | number | null;

/** One value for each `?`, or an object that has one for each `@name` and may have others. */
type Bound = Value | object;

/** How long a statement waits for another process that writes. */
const patienceMs = 5000;
const pauseMs = 10;
const pause = new Int32Array(new SharedArrayBuffer(4));

/**
 * A SQLite database: the only file that knows which package brings SQLite, and why that one stands in docs/sqlite.md. Native code
 * is loaded with the first database that is opened. Every call throws an Error with SQLite's words.
 */
export class SqliteDatabase {
  readonly #database: DatabaseSyncInstance;
  readonly #statements = new Map<string, Statement>();

  /** Opens or creates `file`, or a database in memory where it is `:memory:`. */
  constructor(file: string) {
    const { DatabaseSync } = loadSqlite();
    this.#database = new DatabaseSync(file, {
      timeout: patienceMs,
      allowUnknownNamedParameters: true,
    });
  }

  /** Statements are kept for the next time: the package frees dropped ones only when the process is idle. */
  prepare(sql: string): Statement {
    const known = this.#statements.get(sql);
    if (known) return known;
    const statement = new Statement(this.#database.prepare(sql));
    this.#statements.set(sql, statement);
    return statement;
  }

  /** Runs statements that give no rows and take no values. */
  exec(sql: string): void {
    this.#database.exec(sql);
  }

  /** Readers and a writer at once. SQLite itself does not wait here where another process opens the file at the same time. */
  writeAhead(): void {
    for (const until = Date.now() + patienceMs; ; Atomics.wait(pause, 0, 0, pauseMs)) {
      try {
        this.exec('PRAGMA journal_mode = WAL');
        return;
      } catch (error) {
        if (!/locked|busy/i.test((error as Error).message) || Date.now() > until) throw error;
      }
    }
  }

  /** All that `work` changes, or nothing where it throws. It waits here for another process that writes: one that had read before it may not wait. */
  transaction(work: () => void): void {
    this.exec('BEGIN IMMEDIATE');
    try {
      work();
      this.exec('COMMIT');
    } catch (error) {
      // A full disk makes SQLite roll back by itself.
      if (this.#database.isTransaction) this.exec('ROLLBACK');
      throw error;
    }
  }

  close(): void {
    this.#database.close();
  }
}

class Statement {
  readonly #statement: StatementSyncInstance;

  constructor(statement: StatementSyncInstance) {
    this.#statement = statement;
  }

  /** The first row, undefined where there is none. */
  get(...values: readonly Bound[]): unknown {
    return this.#statement.get(...values);
  }

  all(...values: readonly Bound[]): unknown[] {
    return this.#statement.all(...values);
  }

  /** Returns the row id of what was inserted last. */
  run(...values: readonly Bound[]): number {
    return Number(this.#statement.run(...values).lastInsertRowid);
  }

  /** The first column of each row in place of rows. */
  pluck(): {
    get(...values: readonly Bound[]): unknown;
    all(...values: readonly Bound[]): unknown[];
  } {
    const first = (row: unknown) => (row === undefined ? row : Object.values(row as object)[0]);
    return {
      get: (...values) => first(this.get(...values)),
      all: (...values) => this.all(...values).map(first),
    };
  }
}

/** By `require`: as a module the package looks for its binary by a URL, and misses it in a folder with a space in its name. */
function loadSqlite(): typeof import('@photostructure/sqlite') {
  const require = createRequire(import.meta.url);
  try {
    return require('@photostructure/sqlite');
  } catch (error) {
    const machine = `${process.platform}-${process.arch}, Node ${process.version}`;
    const why = (error as Error).message.split('\n')[0];
    const text = `the list of runs needs SQLite, which cannot be loaded on this computer (${machine}): ${why}; run npm ci again. Running specs needs no SQLite`;
    throw new ArchiveError('no-sqlite', text, { cause: error });
  }
}
