import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { Database } from './database.ts';
import { openEmbedded } from './embedded.ts';
import { prepareTables } from './tables.ts';

/** The database of a lab, its tables made: the server at `url`, or where it is absent the one in the lab's folder. */
export async function openDatabase(
  { url, folder }: { readonly url: string | undefined; readonly folder: string },
  onLost: (error: Error) => void,
): Promise<Database> {
  const database = await open(url, folder, onLost);
  try {
    await prepareTables(database);
    return database;
  } catch (error) {
    await database.close();
    throw error;
  }
}

async function open(
  url: string | undefined,
  folder: string,
  onLost: (error: Error) => void,
): Promise<Database> {
  if (url !== undefined) {
    const { openPostgres } = await import('./postgres.ts');
    return openPostgres(url, onLost);
  }
  const own = join(folder, 'database');
  await mkdir(own, { recursive: true, mode: 0o700 });
  return openEmbedded(own);
}
