import { existsSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { findFiles } from '../inputs/find-files.ts';
import { readSpecFiles } from '../inputs/read-specs.ts';
import { libraryFolder } from '../inputs/shipped-file.ts';

/** What the specs of a folder name in their first lines; it goes with them. */
const schema = 'schemas/spec.schema.json';

/** Files of the shipped library, as paths in it (`fading/fades-on-time.spec.yaml`). The schema comes first. */
export interface Fitting {
  /** Those that this lamp can have, with the schema that they name. */
  readonly files: readonly string[];
  /** All specs, and the schema. */
  readonly all: readonly string[];
}

/** What of the shipped library is for this lamp: every claim whose needs it meets. */
export function fittingLibrary(lamp: Lamp): Fitting {
  const all = findFiles([libraryFolder], ['.spec.yaml'], libraryFolder);
  const { plans, issues } = readSpecFiles(all, lamp, libraryFolder);
  if (issues.length > 0) throw new BadFiles(issues);
  const pathOf = ({ file }: Pick<Plan, 'file'>): string =>
    relative(libraryFolder, file).split(sep).join('/');
  const files = plans.filter(({ needs }) => unmetNeed(needs, lamp) === null).map(pathOf);
  return { files: [schema, ...files], all: [schema, ...plans.map(pathOf)] };
}

export function libraryHas(path: string): boolean {
  return existsSync(join(libraryFolder, path));
}

/** The text of a file of the shipped library. */
export function libraryText(path: string): string {
  return readFileSync(join(libraryFolder, path), 'utf8');
}
