import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import { quantity } from '../../harness/files/schema-parts.ts';
import { decodeWaveform, type FileColumn } from '../../harness/files/waveform-file.ts';
import { defineDriver } from '../driver.ts';
import { type RecordedInput, recordedInput } from './recorded-input.ts';
import { RecordingDigitiser } from './recording-digitiser.ts';

const source = z.strictObject({
  file: z.string().meta({ description: 'CSV, WAV or NPY file.' }),
  column: z.string().optional().meta({ description: 'Column of the file, where it has several.' }),
  rate: quantity('Sampling rate, where the file states none.', 'frequency', '10 kS/s', {
    above: 0,
  }).optional(),
});

/** Recorded files that stand in for the inputs of a digitiser. Each is read whole, once. */
export const recordingDriver = defineDriver({
  name: 'recording',
  settings: z.strictObject({
    files: z
      .record(z.string(), source)
      .refine((files) => Object.keys(files).length > 0, 'expected at least one input, found none')
      .meta({ description: 'Which file stands in for which input.' }),
  }),
  open: async ({ name, settings, limits }, { clock, folder }) => {
    const hash = createHash('sha256');
    const inputs: RecordedInput[] = [];
    for (const [input, { file, column, rate }] of Object.entries(settings.files)) {
      const path = resolve(folder, file);
      const bytes = await readFile(path).catch((error: Error) => {
        throw unsupported(name, `input ${input} cannot be read: ${error.message}`, error);
      });
      hash.update(bytes);
      const recorded = decoded(bytes, { name, path, rate });
      const found = columnOf(recorded.columns, { name, path, column });
      inputs.push(recordedInput(input, found, recorded.rate));
    }
    return new RecordingDigitiser(name, inputs, clock, {
      digest: hash.digest('hex').slice(0, 16),
      acquisition: limits.acquisition ?? 'point',
    });
  },
});

function decoded(
  bytes: Uint8Array,
  of: { readonly name: string; readonly path: string; readonly rate: number | undefined },
): { readonly columns: readonly FileColumn[]; readonly rate: number } {
  const result = decodeWaveform(bytes, of.rate);
  if (result.ok) return result.value;
  const { line, column, message } = result.fault;
  const place = [of.path, line, column].filter((part) => part !== undefined).join(':');
  throw unsupported(of.name, `${place}: ${message}`);
}

function columnOf(
  columns: readonly FileColumn[],
  of: { readonly name: string; readonly path: string; readonly column: string | undefined },
): FileColumn {
  const { name, path, column: wanted } = of;
  const names = columns.map((column) => column.name).join(', ');
  const found = columns.filter((column) => wanted === undefined || column.name === wanted);
  const [first, second] = found;
  if (!first) throw unsupported(name, `${path} has no column "${wanted}"; it has ${names}`);
  if (wanted === undefined && second)
    throw unsupported(name, `${path} has several columns (${names}); name one with column:`);
  return first;
}

function unsupported(name: string, why: string, cause?: unknown): BenchError {
  return new BenchError('unsupported', name, `${name}: ${why}`, { cause });
}
