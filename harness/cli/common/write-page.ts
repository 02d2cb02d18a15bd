import { resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from './io.ts';

/** Writes the page that `--page FILE` asks for, whole or not at all. Throws a Complaint (73) where it cannot be written. */
export async function writePage(file: string, page: string, io: Io): Promise<void> {
  await writeFileAtomic(resolve(io.cwd, file), page).catch((error: Error) => {
    const sentence = `--page: expected a file that can be written, found ${file} (${error.message}); name another place`;
    throw new Complaint('cannot-create', sentence, { cause: error });
  });
  io.stderr(`Page: ${file}\n`);
}
