import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { Clock } from '../../harness/bench/ports.ts';
import type { RigInstrument } from '../../harness/bench/rig.ts';
import { decodeWaveform, type FileColumn } from '../../harness/files/waveform-file.ts';
import { parseQuantity } from '../../harness/units/parse-quantity.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { type RecordedInput, recordedInput } from './recorded-input.ts';
import { RecordingDigitiser } from './recording-digitiser.ts';

const rate = z.string().transform((text, context) => {
  const parsed = parseQuantity(text);
  if (parsed.ok && parsed.quantity.dimension === 'frequency' && parsed.quantity.value > 0)
    return parsed.quantity.value;
  context.addIssue({
    code: 'custom',
    message: 'expected a sampling rate, as in "10 kS/s"',
  });
  return z.NEVER;
});

/** Settings of the instrument in the rig file: which file, and which column of it, stands in for which input. */
export const recordingSettings = z.strictObject({
  ...readByPreflight,
  files: z.record(
    z.string(),
    z.strictObject({
      file: z.string(),
      column: z.string().optional(),
      rate: rate.optional(),
    }),
  ),
  acquisition: z.enum(['integrating', 'point']).default('point'),
});

/**
 * Opens the recordings behind the Digitiser port. Files are read whole, once; `folder` is where the rig file lies.
 * Rejects with BenchError `unsupported` where a setting, a file or a column is not what it should be.
 */
export async function openRecording(
  { name, settings }: Pick<RigInstrument, 'name' | 'settings'>,
  clock: Clock,
  folder: string,
): Promise<RecordingDigitiser> {
  const { files, acquisition } = readSettings(recordingSettings, {
    name,
    driver: 'recording',
    settings,
  });
  const hash = createHash('sha256');
  const inputs: RecordedInput[] = [];
  for (const [input, source] of Object.entries(files)) {
    const path = resolve(folder, source.file);
    const bytes = await readFile(path).catch((error: Error) => {
      throw unsupported(name, `input ${input} cannot be read: ${error.message}`, error);
    });
    hash.update(bytes);
    const result = decodeWaveform(bytes, source.rate);
    if (!result.ok) {
      const { line, column, message } = result.fault;
      const place = [path, line, column].filter((part) => part !== undefined).join(':');
      throw unsupported(name, `${place}: ${message}`);
    }
    const { columns, rate: recorded } = result.value;
    inputs.push(recordedInput(input, columnOf(columns, source.column, path, name), recorded));
  }
  if (inputs.length === 0)
    throw unsupported(name, 'expected at least one input under files, found none');
  return new RecordingDigitiser(name, inputs, clock, {
    digest: hash.digest('hex').slice(0, 16),
    acquisition,
  });
}

function columnOf(
  columns: readonly FileColumn[],
  wanted: string | undefined,
  path: string,
  name: string,
): FileColumn {
  const names = columns.map((column) => column.name).join(', ');
  const found = wanted === undefined ? undefined : columns.find((each) => each.name === wanted);
  if (found) return found;
  if (wanted !== undefined)
    throw unsupported(name, `${path} has no column "${wanted}"; it has ${names}`);
  if (columns.length > 1)
    throw unsupported(name, `${path} has several columns (${names}); name one with column:`);
  return columns[0]!;
}

function unsupported(name: string, why: string, cause?: unknown): BenchError {
  return new BenchError('unsupported', name, `${name}: ${why}`, { cause });
}
