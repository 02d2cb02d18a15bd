import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import * as z from 'zod';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { stepSchema } from '../../spec-language/spec-schema.ts';
import { Complaint } from '../complaint.ts';
import { readBytes } from '../inputs/read-bytes.ts';

/** Name of the file in the folder of a search, and of its largest size. */
const file = 'sequences.json';
const mostBytes = 64 * 2 ** 20;

const schema = z.strictObject({
  seed: z.number().int().optional(),
  sequences: z.array(z.array(stepSchema).min(1).max(200)),
});

/** What a search leaves for a later one. */
export interface Corpus {
  /** Of the search that kept it; absent in files of earlier versions. */
  readonly seed?: number | undefined;
  readonly sequences: readonly (readonly WrittenStep[])[];
}

/** Sequences that an earlier search kept in a folder. Throws a Complaint where there are none, or where they are no sequences. */
export function readCorpus(folder: string): Corpus {
  const path = join(folder, file);
  let parsed: z.ZodSafeParseResult<z.infer<typeof schema>>;
  try {
    parsed = schema.safeParse(JSON.parse(Buffer.from(readBytes(path, mostBytes)).toString()));
  } catch (error) {
    const found = listed(folder);
    throw new Complaint(
      'no-input',
      `expected the sequences of an earlier search in ${path}, found ${found}; name the folder that --out named then`,
      { cause: error },
    );
  }
  if (parsed.success) return parsed.data;
  const [first] = parsed.error.issues;
  throw new Complaint(
    'bad-file',
    `${path}: expected sequences of steps, found something else at ${first?.path.join('.') ?? 'its beginning'} (${first?.message ?? 'unreadable'}); make it anew with evenfall explore`,
  );
}

/** Keeps sequences for a later search. */
export async function writeCorpus(
  folder: string,
  { seed, sequences }: Required<Corpus>,
): Promise<void> {
  const lines = sequences.map((steps) => `  ${JSON.stringify(steps)}`).join(',\n');
  await writeFileAtomic(join(folder, file), `{ "seed": ${seed}, "sequences": [\n${lines}\n] }\n`);
}

function listed(folder: string): string {
  try {
    return readdirSync(folder).includes(file) ? 'a file that is no JSON' : 'no such file';
  } catch {
    return 'no such folder';
  }
}
