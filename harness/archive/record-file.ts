import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import { withCurves } from '../record/curves.ts';
import { parseRunRecord } from '../record/parse-run-record.ts';
import type { RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';
import { curvesFile, readCurvesFile } from './curves-file.ts';
import { otherRunsFolder } from './folder-name.ts';
import { openPlainFile, readPlainFile } from './plain-file.ts';

export const recordFile = 'run.json';

/** The text of `run.json`: one line, as charts would take a line per number otherwise. */
export function recordText(record: RunRecord): string {
  return `${JSON.stringify(record)}\n`;
}

/**
 * The same as bytes, condition by condition: one letter outside Latin-1 doubles the memory of a whole text and makes its
 * encoding slow.
 */
export function recordBytes(record: RunRecord): Uint8Array {
  const place = randomUUID();
  const specs = record.specs.map((spec, index) => ({ ...spec, conditions: `${place} ${index}` }));
  const outline = recordText({ ...record, specs } as unknown as RunRecord);
  const pieces = outline.split(new RegExp(`"${place} (\\d+)"`)).flatMap((piece, index) => {
    // Every second piece is the number that was caught.
    if (index % 2 === 0) return [Buffer.from(piece)];
    const found = record.specs[Number(piece)];
    if (!found) return [];
    const parts = found.conditions.flatMap((condition, k) => [
      ...(k === 0 ? [] : [Buffer.from(',')]),
      Buffer.from(JSON.stringify(condition)),
    ]);
    return [Buffer.from('['), ...parts, Buffer.from(']')];
  });
  return Buffer.concat(pieces);
}

/** A run under the name of another would be taken for that one. Throws `damaged`. */
function ofItsFolder(folder: string, record: RunRecord): RunRecord {
  const why = otherRunsFolder(folder, record);
  if (why !== null) throw new ArchiveError('damaged', `${folder} ${why}`);
  return record;
}

/** The record of a folder, with the curves that lie beside it. */
export async function readRecordFile(folder: string): Promise<RunRecord> {
  const record = await readSlimRecord(folder);
  // What is unfinished is a header, whatever lies beside it: its conditions are in the journal.
  if (record.ended === 'unfinished') return record;
  const curves = await readCurvesFile(folder, record.id);
  if (curves === null) return record;
  try {
    return withCurves(record, curves);
  } catch (error) {
    const sentence = `${join(folder, curvesFile)} does not belong to ${recordFile}: ${(error as Error).message}`;
    throw new ArchiveError('damaged', sentence, { cause: error });
  }
}

/** `run.json` of a folder, held against its schema and the folder's name: without charts and commanded light, but in runs of earlier versions. */
export async function readSlimRecord(folder: string): Promise<RunRecord> {
  const path = join(folder, recordFile);
  let text: string;
  try {
    text = (await readPlainFile(path)).toString('utf8');
  } catch (error) {
    if (error instanceof ArchiveError) throw error;
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
  if (parsed.ok) return ofItsFolder(folder, parsed.record);
  const sentence = `${path} is not a run record that can be read: ${parsed.faults.join('; ')}`;
  throw new ArchiveError(parsed.newer ? 'newer' : 'damaged', sentence);
}

/** Where the claims begin, with nearly all of the bytes behind it. Inside of a text the quotes would have a backslash. */
const claimsMark = Buffer.from(',"specs":[');
/** Bytes read at once; the head of a record is shorter by far. */
const headPiece = 1 << 18;

/**
 * The record of a folder without its claims: what a list shows of a run, for a small part of the time. Held against the
 * same schema and the folder's name.
 */
export async function readRecordHead(folder: string): Promise<RunRecord> {
  const head = await bytesBefore(join(folder, recordFile), claimsMark);
  if (head === null) return readSlimRecord(folder);
  try {
    const parsed = parseRunRecord(JSON.parse(`${head.toString('utf8')},"specs":[]}`));
    if (parsed.ok) return ofItsFolder(folder, parsed.record);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
  }
  // Somebody else wrote it, or something is wrong, which the whole says best.
  return readSlimRecord(folder);
}

async function bytesBefore(path: string, mark: Buffer): Promise<Buffer | null> {
  const handle = await openPlainFile(path).catch((error: Error) => {
    if (error instanceof ArchiveError) throw error;
    return null;
  });
  if (!handle) return null;
  try {
    const piece = Buffer.alloc(headPiece);
    const { bytesRead } = await handle.read(piece, 0, headPiece, 0);
    const at = piece.subarray(0, bytesRead).indexOf(mark);
    return at < 0 ? null : piece.subarray(0, at);
  } finally {
    await handle.close();
  }
}
