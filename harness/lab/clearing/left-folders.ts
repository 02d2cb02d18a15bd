import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Database, Row } from '../database/database.ts';
import { ifMissing } from '../files/if-missing.ts';

/** Which folders below one stay. */
interface Rule {
  /** Condition on a submission, whose folder then stays; it may name the value $2. */
  readonly stays: string;
  /** ISO 8601 UTC */
  readonly since: Date;
  /** A folder of no submission that was made since is somebody's who is at it; ms since the epoch. */
  readonly before: number;
}

/** Removes the folders of submissions below `folder` that nobody needs any more: their hard links keep the bytes of files that are cleared. */
export async function removeLeftFolders(
  database: Database,
  folder: string,
  { stays, since, before }: Rule,
): Promise<void> {
  const names = await readdir(folder).catch(ifMissing([]));
  const ids = names.filter((name) => /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(name));
  const known = await database.query<Row & { id: string; stays: boolean }>(
    `select id, (${stays}) as stays from lab.submission
     where id in (select value::uuid from jsonb_array_elements_text($1::jsonb)) and $2::timestamptz is not null`,
    [JSON.stringify(ids), since.toISOString()],
  );
  const staying = new Map(known.map((row) => [row.id, row.stays]));
  for (const name of names) {
    const path = join(folder, name);
    const stay = staying.get(name) ?? (await isYoung(path, before));
    if (!stay) await rm(path, { recursive: true, force: true });
  }
}

async function isYoung(path: string, before: number): Promise<boolean> {
  const found = await stat(path).catch(ifMissing(null));
  return found !== null && found.mtimeMs >= before;
}
