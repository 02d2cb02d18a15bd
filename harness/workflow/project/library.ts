import { readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { findFiles } from '../inputs/find-files.ts';
import { readSpecFiles } from '../inputs/read-specs.ts';
import { libraryFolder } from '../inputs/shipped-file.ts';

/** What the specs of a folder name in their first lines; it goes with them. */
const schema = 'schemas/spec.schema.json';

/** Files of the shipped library, as paths in it (`fading/fades-on-time.spec.yaml`). */
export interface Fitting {
  /** Those that this lamp can have, with the schema that they name. */
  readonly files: readonly string[];
  readonly specs: number;
  /** How many specs there are. */
  readonly of: number;
}

/** What of the shipped library is for this lamp: every claim whose needs it meets. */
export function fittingLibrary(lamp: Lamp): Fitting {
  const all = findFiles([libraryFolder], ['.spec.yaml'], libraryFolder);
  const { plans, issues } = readSpecFiles(all, lamp, libraryFolder);
  if (issues.length > 0) throw new BadFiles(issues);
  const files = plans
    .filter(({ needs }) => unmetNeed(needs, lamp) === null)
    .map(({ file }) => relative(libraryFolder, file).split(sep).join('/'));
  return { files: [schema, ...files], specs: files.length, of: plans.length };
}

/** The text of a file of the shipped library. */
export function libraryText(path: string): string {
  return readFileSync(join(libraryFolder, path), 'utf8');
}
