/** A row, by column. */
export type Row = Readonly<Record<string, unknown>>;

/** Runs statements; a transaction is one, too. */
export interface Statements {
  /** One statement with its values (`$1`, …), or several without any. Rejects with the database's own error. */
  query<R extends Row>(text: string, values?: readonly unknown[]): Promise<readonly R[]>;
}

/** PostgreSQL, as a server or within this process. */
export interface Database extends Statements {
  /** What it is, for messages; without a password. */
  readonly name: string;
  /** All of `work` or nothing of it. */
  transaction<Result>(work: (statements: Statements) => Promise<Result>): Promise<Result>;
  close(): Promise<void>;
}
