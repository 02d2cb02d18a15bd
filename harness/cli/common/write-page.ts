import { resolve } from 'node:path';
import type { Io } from './io.ts';
import { writeOut } from './write-out.ts';

/** Writes the page that `--page FILE` asks for, whole or not at all. Throws a Complaint (73) where it cannot be written. */
export async function writePage(file: string, page: string, io: Io): Promise<void> {
  await writeOut(resolve(io.cwd, file), page, '--page');
  io.stderr(`Page: ${file}\n`);
}
