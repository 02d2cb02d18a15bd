import pg from 'pg';
import { Complaint } from '../../workflow/complaint.ts';
import type { Database, Row, Statements } from './database.ts';

/** Connections of one service. */
const mostConnections = 10;
/** ms that a connection or a statement may take before it counts as lost. */
const patience = 10_000;

/** Opens a PostgreSQL server by its URL. Rejects with a Complaint where it does not answer. `onLost` hears of connections that break while idle. */
export async function openPostgres(url: string, onLost: (error: Error) => void): Promise<Database> {
  const pool = new pg.Pool({
    connectionString: url,
    max: mostConnections,
    connectionTimeoutMillis: patience,
    application_name: 'evenfall lab',
  });
  pool.on('error', onLost);
  const name = withoutPassword(url);
  try {
    await pool.query('select 1');
  } catch (error) {
    await pool.end();
    const why = (error as Error).message;
    throw new Complaint('unreachable', `expected a PostgreSQL database at ${name}: ${why}`, {
      cause: error,
    });
  }
  return {
    name,
    query: (text, values) => run(pool, text, values),
    transaction: (work) => inTransaction(pool, work),
    close: () => pool.end(),
  };
}

async function run<R extends Row>(
  client: pg.Pool | pg.PoolClient,
  text: string,
  values?: readonly unknown[],
): Promise<readonly R[]> {
  // Several statements at once go without values only.
  const results = await (values && values.length > 0
    ? client.query<R>(text, [...values])
    : client.query<R>(text));
  // Several statements at once have a result each; the last one's rows are wanted.
  const last = Array.isArray(results) ? results.at(-1) : results;
  return last?.rows ?? [];
}

async function inTransaction<Result>(
  pool: pg.Pool,
  work: (statements: Statements) => Promise<Result>,
): Promise<Result> {
  const client = await pool.connect();
  let broken: Error | undefined;
  // A connection can break between two statements, too; who does not listen ends with it.
  const hear = (error: Error): void => {
    broken = error;
  };
  client.on('error', hear);
  try {
    await client.query('begin');
    const result = await work({ query: (text, values) => run(client, text, values) });
    await client.query('commit');
    return result;
  } catch (error) {
    await client.query('rollback').catch((lost: Error) => {
      broken = lost;
    });
    throw error;
  } finally {
    client.off('error', hear);
    client.release(broken);
  }
}

function withoutPassword(url: string): string {
  try {
    const parsed = new URL(url);
    parsed.password = '';
    return parsed.href;
  } catch {
    throw new Complaint(
      'usage',
      'expected a URL such as postgres://user@host/database, found one that cannot be read',
    );
  }
}
