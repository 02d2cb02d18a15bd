import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { clearWriterMark, markWriter } from '../../archive/writer-mark.ts';
import type { Database } from './database.ts';
import { openEmbedded } from './embedded.ts';
import { prepareTables } from './tables.ts';

/**
 * The database of a lab, its tables made: the server at `url`, or where it is absent the one in the lab's folder, which one process
 * uses at a time: an ArchiveError `busy` says who does.
 */
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
  // Two processes at once would destroy it.
  await markWriter(folder);
  try {
    const database = await openEmbedded(own);
    const close = async (): Promise<void> => {
      await database.close();
      await clearWriterMark(folder);
    };
    return { ...database, close };
  } catch (error) {
    await clearWriterMark(folder);
    throw error;
  }
}
