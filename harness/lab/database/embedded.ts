import type { PGlite, Transaction } from '@electric-sql/pglite';
import type { Database, Row, Statements } from './database.ts';

/** Opens PostgreSQL within this process, kept in a folder that no other process may use meanwhile. */
export async function openEmbedded(folder: string): Promise<Database> {
  const { PGlite } = await import('@electric-sql/pglite');
  const lite = await PGlite.create(folder);
  return {
    name: `the database in ${folder}`,
    query: (text, values) => run(lite, text, values),
    transaction: <Result>(work: (statements: Statements) => Promise<Result>): Promise<Result> =>
      lite.transaction((transaction) =>
        work({ query: (text, values) => run(transaction, text, values) }),
      ),
    close: () => lite.close(),
  };
}

async function run<R extends Row>(
  on: PGlite | Transaction,
  text: string,
  values?: readonly unknown[],
): Promise<readonly R[]> {
  if (values && values.length > 0) return (await on.query<R>(text, [...values])).rows;
  // Without values there may be several statements; the last one's rows are wanted.
  const results = await on.exec(text);
  return (results.at(-1)?.rows ?? []) as R[];
}
