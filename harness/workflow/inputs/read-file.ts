import { createHash } from 'node:crypto';
import { resolve } from 'node:path';
import { Complaint } from '../complaint.ts';
import { readBytes, TooManyBytes } from './read-bytes.ts';
import { located } from './shipped-file.ts';

/** Far above any text that a person writes; the readers of the formats have limits of their own below it. */
const mostBytes = 16 * 2 ** 20;

export interface FileText {
  /** As given; of the shipped library where it lies. */
  readonly file: string;
  readonly text: string;
  /** sha256 of the bytes, hex. */
  readonly digest: string;
}

/** Reads a text file; bytes that are no UTF-8 become U+FFFD and are met by the reader of the format. */
export function readFile(path: string, cwd: string): FileText {
  const file = located(path, cwd);
  try {
    const bytes = readBytes(resolve(cwd, file), mostBytes);
    return {
      file,
      text: bytes.toString('utf8'),
      digest: createHash('sha256').update(bytes).digest('hex'),
    };
  } catch (error) {
    if (error instanceof TooManyBytes)
      throw new Complaint('bad-file', `${file}: ${error.message}`, { cause: error });
    const code = (error as NodeJS.ErrnoException).code ?? 'unreadable';
    const expected = `expected a file that can be read at ${file}, found none (${code})`;
    throw new Complaint('no-input', expected, { cause: error });
  }
}
