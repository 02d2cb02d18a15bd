import { appendFile, readFile } from 'node:fs/promises';
import { parse, stringify } from 'yaml';
import * as z from 'zod';
import type { StandardPoint } from '../../record/standard-chart.ts';
import { Complaint } from '../complaint.ts';

const figure = z.number();

/** One line of the history of a rig's check standards. */
const entrySchema = z.looseObject({
  /** ISO 8601 UTC. */
  at: z.string(),
  /** After the last claim; absent before the first one. */
  when: z.literal('after').optional(),
  standard: z.string(),
  signal: z.string(),
  of: z.string(),
  /** What shone, and how bright the lamp was. */
  lit: z.enum(['lamp', 'standard']),
  level: figure,
  /** Of the wire: a new calibration begins a new series. */
  scale: figure,
  offset: figure,
  unit: z.string(),
  value: figure,
  'standard-uncertainty': figure.min(0),
});

export type StandardEntry = z.infer<typeof entrySchema>;

/** `bench.rig.yaml` has the history of its check standards beside it in `bench.check-standards.yaml`. */
export function standardsFile(rigFile: string): string {
  return `${rigFile.replace(/(\.rig)?\.ya?ml$/, '')}.check-standards.yaml`;
}

/** Every entry, oldest first; none where there is no file. Throws a Complaint where it cannot be read. */
export async function readStandards(rigFile: string): Promise<readonly StandardEntry[]> {
  const file = standardsFile(rigFile);
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return '';
    throw new Complaint('bad-file', `${file} cannot be read (${error.code})`, { cause: error });
  });
  const read = z.array(entrySchema).safeParse(parsed(text, file) ?? []);
  if (read.success) return read.data;
  const [first] = read.error.issues;
  throw new Complaint(
    'bad-file',
    `${file} is no history of check standards (${first?.path.map(String).join('.')}: ${first?.message}); mend it, or move it away to begin anew`,
  );
}

/** Adds an entry. Throws a Complaint where it cannot be written: a chart without its history checks nothing. */
export async function addStandard(rigFile: string, entry: StandardEntry): Promise<void> {
  const file = standardsFile(rigFile);
  try {
    await appendFile(file, stringify([entry], { lineWidth: 0 }));
  } catch (error) {
    throw new Complaint(
      'cannot-create',
      `the history of check standards cannot be written: ${(error as Error).message}`,
      { cause: error },
    );
  }
}

/** What is the same in all entries of one series. */
export const seriesKeys = [
  'standard',
  'signal',
  'of',
  'lit',
  'level',
  'scale',
  'offset',
  'unit',
  'when',
] as const;

/** Entries of the same standard, seen in the same way as `like`. */
export function seriesOf(
  entries: readonly StandardEntry[],
  like: StandardEntry,
): readonly StandardPoint[] {
  return entries
    .filter((entry) => seriesKeys.every((key) => entry[key] === like[key]))
    .map(({ at, value, 'standard-uncertainty': standard }) => ({ at, value, standard }));
}

function parsed(text: string, file: string): unknown {
  try {
    return parse(text);
  } catch (error) {
    throw new Complaint('bad-file', `${file} is no YAML: ${(error as Error).message}`, {
      cause: error,
    });
  }
}
