import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { Complaint } from '../complaint.ts';

/** What became of files that were to be written, as paths in their folder. */
export interface LaidOut {
  readonly written: readonly string[];
  /** They were there already, and are unchanged. */
  readonly left: readonly string[];
}

/** Writes texts by their paths in a folder. Never overwrites. Throws a Complaint where one cannot be written. */
export function layOut(folder: string, files: ReadonlyMap<string, string>): LaidOut {
  const [written, left]: [string[], string[]] = [[], []];
  for (const [path, text] of files) (store(folder, path, text) ? written : left).push(path);
  return { written, left };
}

/** False where the file is there already. */
function store(folder: string, path: string, text: string): boolean {
  const file = join(folder, path);
  try {
    mkdirSync(dirname(file), { recursive: true });
  } catch (error) {
    throw notWritten(dirname(file), error);
  }
  try {
    writeFileSync(file, text, { flag: 'wx' });
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw notWritten(file, error);
  }
}

function notWritten(path: string, cause: unknown): Complaint {
  const { code } = cause as NodeJS.ErrnoException;
  return new Complaint('cannot-create', `${path}: it cannot be written (${code})`, { cause });
}
