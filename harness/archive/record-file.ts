import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parseRunRecord } from '../record/parse-run-record.ts';
import type { ConditionRecord, RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';

export const recordFile = 'run.json';

/** The text of `run.json`: one line, as charts would take a line per number otherwise. */
export function recordText(record: RunRecord): string {
  return `${JSON.stringify(record)}\n`;
}

/**
 * The same as bytes, condition by condition: one letter outside Latin-1 doubles the memory of a whole text and makes its
 * encoding slow. `written` gives the bytes of a condition's JSON where they are known already.
 */
export function recordBytes(
  record: RunRecord,
  written: (spec: string, condition: ConditionRecord) => Uint8Array | undefined = () => undefined,
): Uint8Array {
  const place = randomUUID();
  const specs = record.specs.map((spec, index) => ({ ...spec, conditions: `${place} ${index}` }));
  const outline = recordText({ ...record, specs } as unknown as RunRecord);
  const pieces = outline.split(new RegExp(`"${place} (\\d+)"`)).flatMap((piece, index) => {
    // Every second piece is the number that was caught.
    if (index % 2 === 0) return [Buffer.from(piece)];
    const found = record.specs[Number(piece)];
    if (!found) return [];
    const { spec, conditions } = found;
    const parts = conditions.flatMap((condition, k) => [
      ...(k === 0 ? [] : [Buffer.from(',')]),
      written(spec, condition) ?? Buffer.from(JSON.stringify(condition)),
    ]);
    return [Buffer.from('['), ...parts, Buffer.from(']')];
  });
  return Buffer.concat(pieces);
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
