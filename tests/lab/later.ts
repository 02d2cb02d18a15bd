import { existsSync, readdirSync, statSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import type { OpenLab } from './open-lab.ts';

/** As if `days` had passed since all that a lab has seen. Nobody may ask it for anything meanwhile. */
export async function later({ lab, folder }: OpenLab, days: number): Promise<void> {
  for (const name of ['files', 'inputs', 'merging']) setBack(join(folder, name), days);
  await lab.database.query(
    `update lab.submission set at = at - $1 * interval '1 day', ended_at = ended_at - $1 * interval '1 day'`,
    [days],
  );
}

/** Hard links have one time: each file is set back once. */
function setBack(folder: string, days: number): void {
  if (!existsSync(folder)) return;
  const back = Date.now() - days * 86_400_000;
  const entries = readdirSync(folder, { recursive: true, encoding: 'utf8' });
  for (const path of [folder, ...entries.map((name) => join(folder, name))].reverse()) {
    const age = Date.now() - statSync(path).mtimeMs;
    const time = new Date(back - age);
    utimesSync(path, time, time);
  }
}

/** Digests of the whole files of a lab's store. */
export function digestsIn(folder: string): string[] {
  const files = join(folder, 'files');
  const folders = existsSync(files) ? readdirSync(files) : [];
  return folders
    .filter((name) => /^[0-9a-f]{2}$/.test(name))
    .flatMap((name) => readdirSync(join(files, name)))
    .sort();
}
