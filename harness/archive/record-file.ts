import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parseRunRecord } from '../record/parse-run-record.ts';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';

export const recordFile = 'run.json';

/** The text of `run.json`: one line, as charts would take a line per number otherwise. */
export function recordText(record: RunRecord): string {
  return `${JSON.stringify(record)}\n`;
}

/** `run.json` of a folder, held against its schema. */
export async function readRecordFile(folder: string): Promise<RunRecord> {
  const path = join(folder, recordFile);
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    const why = (error as NodeJS.ErrnoException).code === 'ENOENT' ? 'no run.json' : String(error);
    const sentence = `expected a folder of a stored run at ${folder}, found ${why}`;
    throw new ArchiveError('not-found', sentence, { cause: error });
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    const sentence = `${path} is not JSON: ${(error as Error).message}`;
    throw new ArchiveError('damaged', sentence, { cause: error });
  }
  const parsed = parseRunRecord(value);
  if (parsed.ok) return parsed.record;
  const sentence = `${path} is not a run record that can be read: ${parsed.faults.join('; ')}`;
  throw new ArchiveError(parsed.newer ? 'newer' : 'damaged', sentence);
}
