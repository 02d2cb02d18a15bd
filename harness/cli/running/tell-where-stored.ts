import { relative } from 'node:path';
import type { Io } from '../common/io.ts';

/** The last lines of a command that stored a run: its folder, and its page. */
export function tellWhereStored(path: string, io: Io): void {
  const folder = relative(io.cwd, path) || path;
  io.stdout(`Stored in ${folder}\nPage      ${folder}/index.html\n`);
}
